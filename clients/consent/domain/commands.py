"""What the clients app is asked to do, as plain values."""

from __future__ import annotations

from datetime import date, datetime

import msgspec

from clients.consent.domain.events import ConsentDocumentation, ConsentScope

# Touch consent


class RecordConsent(msgspec.Struct, frozen=True, kw_only=True):
    """A touch consent. ``until`` None: as long as the practice's setting says."""

    scope: ConsentScope
    obtained: ConsentDocumentation
    until: date | None = None
    occurred_at: datetime | None = None


class EndConsent(msgspec.Struct, frozen=True, kw_only=True):
    """A consent declined or withdrawn, with the client's reason if one was given."""

    reason: str = ""
    occurred_at: datetime | None = None
