"""Events of a client's identity: who the client is and how they are reached."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from uuid import UUID

import msgspec

from practice.core.events import Event, event

# Identity


class ContactBy(StrEnum):
    """How the client lets the practice get in touch; ``none``: only in person."""

    MAIL = "mail"
    TEXT = "text"
    PHONE = "phone"
    NONE = "none"


class ClientDetails(msgspec.Struct, frozen=True, kw_only=True):
    """Who the client is and how they are reached.

    ``phone`` in E.164; ``zone`` an IANA zone (for reminders); ``language`` BCP 47;
    ``facility_ids``: where the client is known, and so whose staff see the record.
    """

    given_name: str
    family_name: str
    birth_date: date | None = None
    phone: str = ""
    email: str = ""
    zone: str
    language: str = "en"
    contact_by: ContactBy = ContactBy.NONE
    facility_ids: tuple[UUID, ...] = ()


@event("client.registered")
class ClientRegistered(Event, frozen=True, kw_only=True):
    """A client was registered."""

    details: ClientDetails


@event("client.details_changed")
class ClientDetailsChanged(Event, frozen=True, kw_only=True):
    """The client's details as they are from now on."""

    details: ClientDetails
