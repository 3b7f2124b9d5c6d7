"""What the desk and practitioners ask of touch consent, as plain values."""

from __future__ import annotations

from datetime import date, datetime
from uuid import UUID

import msgspec

from clients.consent.domain.events import (
    EVERYTHING,
    ConsentDocumentation,
    ConsentScope,
    NarrowedScope,
)


class RecordConsent(msgspec.Struct, frozen=True, kw_only=True):
    """A touch consent. ``until`` None: as long as the practice's setting says.

    ``signed_on``: the date on the paper; ``occurred_at`` its instant, where it is known.
    ``confirmed_typed_name``: a typed name that is not the signer's stands.
    """

    scope: ConsentScope
    obtained: ConsentDocumentation
    until: date | None = None
    signed_on: date | None = None
    confirmed_typed_name: bool = False
    occurred_at: datetime | None = None


class EndConsent(msgspec.Struct, frozen=True, kw_only=True):
    """Consent declined or withdrawn, all of it or a part, with the client's reason if any."""

    reason: str = ""
    scope: NarrowedScope = EVERYTHING
    occurred_at: datetime | None = None


class ConfirmConsent(msgspec.Struct, frozen=True, kw_only=True):
    """A suspended consent that the client, when asked, says stands."""

    consent_id: UUID
    reason: str = ""
