"""How a client is reached, who stands beside them, and what times suit. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Any
from uuid import UUID

import msgspec

from practice.core.localtime import derived_instant, zone_named
from practice.core.reasons import invalid


class ContactBy(StrEnum):
    """How the client lets the practice get in touch; ``none``: only in person."""

    MAIL = "mail"
    TEXT = "text"
    PHONE = "phone"
    NONE = "none"


class Phone(msgspec.Struct, frozen=True, kw_only=True):
    """A number in E.164, whose or what it is, whether texts may go there, and when to call."""

    number: str
    label: str = ""
    texts: bool = False
    best_time: str = ""


class EmergencyContact(msgspec.Struct, frozen=True, kw_only=True):
    """Whom to call in an emergency; ``phone`` in E.164. ``id``: None before it is on record."""

    id: UUID | None = None
    name: str
    relation: str = ""
    phone: str


class ReferrerKind(StrEnum):
    """What a referrer is to the client."""

    SURGEON = "surgeon"
    PHYSICIAN = "physician"
    THERAPIST = "therapist"
    HOSPITAL = "hospital"
    CLIENT = "client"
    OTHER = "other"


class Referrer(msgspec.Struct, frozen=True, kw_only=True):
    """Who sent the client here; ``phone`` in E.164 or empty."""

    name: str
    kind: ReferrerKind
    phone: str = ""


class Guardian(msgspec.Struct, frozen=True, kw_only=True):
    """Who decides for the client: ``proof`` is what was seen, ``until`` the last day of it."""

    name: str
    relation: str
    phone: str = ""
    proof: str = ""
    proof_seen_on: date | None = None
    until: date | None = None


class ContactHours(msgspec.Struct, frozen=True, kw_only=True):
    """Between which local times, on the client's clock, the practice may get in touch."""

    starts: time
    ends: time


class UnsuitableTime(msgspec.Struct, frozen=True, kw_only=True):
    """A time that does not suit, on the client's clock.

    ``weekday`` by ISO 8601 (1 Monday to 7 Sunday), None: every day. Without ``starts`` and
    ``ends`` the whole day. ``from_date`` and ``until`` are its first and last day. ``id``: None
    before it is on record.
    """

    id: UUID | None = None
    weekday: int | None = None
    starts: time | None = None
    ends: time | None = None
    reason: str = ""
    from_date: date | None = None
    until: date | None = None


class DoubleSign(StrEnum):
    """Why another client may be the same person."""

    SAME_NAME = "same_name"
    SAME_BIRTH_DATE_ALIKE_NAME = "same_birth_date_alike_name"
    SAME_NAME_BIRTH_DATE_SLIP = "same_name_birth_date_slip"
    ALIKE_NAME = "alike_name"
    ALIKE_NAME_BIRTH_DATE_SLIP = "alike_name_birth_date_slip"
    SAME_PHONE = "same_phone"


class ShownDouble(msgspec.Struct, frozen=True, kw_only=True):
    """Another client who was shown as a possible double when this one was registered."""

    client_id: UUID
    signs: tuple[DoubleSign, ...]


def with_main_phone(before: tuple[Phone, ...], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The changes with ``phone`` and ``phones`` in step: the first of the phones is ``phone``.

    A new ``phone`` comes in the place of the first; one that is among them goes to the front;
    an empty one takes the first away. Raises Rejected 400 where a request names another
    ``phone`` than its ``phones``.
    """
    changed = dict(changes)
    if "phones" in changes:
        phones = msgspec.convert(changes["phones"], tuple[Phone, ...])
        named = changes.get("phone") or ""
        if named and named not in {one.number for one in phones} and phones:
            raise invalid("phone", "This is none of the phones; name it among them.")
        if phones or "phone" not in changes:
            phones = _to_front(phones, named) if named else phones
            changed["phone"] = phones[0].number if phones else ""
        changed["phones"] = phones
    elif "phone" in changes and before:
        number = changes["phone"]
        if number in {one.number for one in before}:
            phones = _to_front(before, number)
        elif number:
            phones = (msgspec.structs.replace(before[0], number=number), *before[1:])
        else:
            phones = before[1:]
        changed |= {"phones": phones, "phone": phones[0].number if phones else ""}
    return changed


def _to_front(phones: tuple[Phone, ...], number: str) -> tuple[Phone, ...]:
    return tuple(sorted(phones, key=lambda one: one.number != number))


def check_phones(phones: tuple[Phone, ...]) -> None:
    """Raises Rejected 400 for a number that stands twice."""
    if len({one.number for one in phones}) < len(phones):
        raise invalid("phones", "A number stands here twice.")


def check_contact_hours(hours: ContactHours | None) -> None:
    """Raises Rejected 400 for hours that end before they begin."""
    if hours is not None and hours.ends <= hours.starts:
        raise invalid("contact_hours", "The hours end after they begin.")


def contact_begins(now: datetime, zone: str, hours: ContactHours) -> datetime | None:
    """When the hours of contact begin next on the client's clock; None within them."""
    here = now.astimezone(zone_named(zone))
    if hours.starts <= here.time() < hours.ends:
        return None
    day = here.date() + timedelta(days=1 if here.time() >= hours.ends else 0)
    return derived_instant(datetime.combine(day, hours.starts), zone)


def check_unsuitable(times: tuple[UnsuitableTime, ...]) -> None:
    """Raises Rejected 400 for a time that cannot be, or that would leave no time at all."""
    for one in times:
        if (one.starts is None) != (one.ends is None):
            raise invalid("unsuitable_times", "Give both starts and ends, or neither.")
        if one.starts is not None and one.ends is not None and one.ends <= one.starts:
            raise invalid(
                "unsuitable_times", "A time ends after it begins; over midnight it is two."
            )
        if one.from_date and one.until and one.until < one.from_date:
            raise invalid("unsuitable_times", "The last day lies before the first.")
        if (one.weekday, one.starts, one.until) == (None, None, None):
            raise invalid(
                "unsuitable_times", "This is every day without end: name weekday, hours or until."
            )
