"""Events of a client's identity: who the client is and how they are reached."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

import msgspec

from clients.identity.domain.contact import (
    ContactBy,
    ContactHours,
    EmergencyContact,
    Guardian,
    Phone,
    Referrer,
    ShownDouble,
    UnsuitableTime,
)
from clients.identity.domain.entries import KINDS, with_content_ids
from practice.core.events import Event, event, upcaster

# Identity


class ClientDetails(msgspec.Struct, frozen=True, kw_only=True):
    """Who the client is and how they are reached.

    ``phone`` in E.164; ``zone`` an IANA zone (for reminders); ``language`` BCP 47;
    ``facility_ids``: where the client is known, and so whose staff see the record; the first
    is the one registered at. One of the two names may be empty. ``phones`` are all numbers
    where more than ``phone`` is said of them, the first of them being ``phone``.
    ``contact_by`` is how to get in touch, ``contact_also_by`` what else the client allows.
    ``told_apart_from``: other clients who were found to be other people.
    """

    given_name: str = ""
    family_name: str = ""
    birth_date: date | None = None
    phone: str = ""
    email: str = ""
    zone: str
    language: str = "en"
    contact_by: ContactBy = ContactBy.NONE
    facility_ids: tuple[UUID, ...] = ()
    phones: tuple[Phone, ...] = ()
    contact_also_by: tuple[ContactBy, ...] = ()
    contact_hours: ContactHours | None = None
    interpreter_needed: bool = False
    emergency_contacts: tuple[EmergencyContact, ...] = ()
    referrer: Referrer | None = None
    guardian: Guardian | None = None
    unsuitable_times: tuple[UnsuitableTime, ...] = ()
    planned_sessions_per_week: int | None = None
    told_apart_from: tuple[UUID, ...] = ()

    def may_contact(self, channel: ContactBy) -> bool:
        """Whether the client allows this way of getting in touch."""
        return channel is self.contact_by or channel in self.contact_also_by

    def known_phones(self) -> tuple[Phone, ...]:
        """Every number; of one that nothing more is said of, texts go by the contact allowed."""
        if self.phones or not self.phone:
            return self.phones
        return (Phone(number=self.phone, texts=self.may_contact(ContactBy.TEXT)),)


@event("client.registered", version=3)
class ClientRegistered(Event, frozen=True, kw_only=True):
    """A client was registered; ``doubles_shown``: who was shown as perhaps the same person."""

    details: ClientDetails
    doubles_shown: tuple[ShownDouble, ...] = ()


@event("client.details_changed", version=3)
class ClientDetailsChanged(Event, frozen=True, kw_only=True):
    """The client's details as they are from now on; ``changed`` names the fields that are new."""

    details: ClientDetails
    changed: tuple[str, ...] = ()


@upcaster("client.registered", from_version=1)
@upcaster("client.details_changed", from_version=1)
def _more_was_not_said(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew one phone and no people, wishes and times: all that has a default."""
    return payload


@upcaster("client.registered", from_version=2)
@upcaster("client.details_changed", from_version=2)
def _entries_had_no_ids(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 2 knew emergency contacts and unsuitable times by their content alone."""
    details = payload["details"]
    named = {field: with_content_ids(details.get(field, ())) for field in KINDS}
    return {**payload, "details": {**details, **named}}
