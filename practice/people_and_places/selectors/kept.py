"""People and places as nearly every request needs them: read once, and kept in the process for
as long as no row of the practice changes (``memoize``).

What is kept is small, frozen and without a date: what holds on a day is chosen from it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from uuid import UUID

from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.core.terms import Credential
from practice.people_and_places.models.facilities import Facility, Room
from practice.people_and_places.models.practitioners import Practitioner, Supervision
from practice.people_and_places.selectors.facilities import visible_facility_ids
from practice.work.request_cache import memoize

Names = Mapping[UUID, str]


@dataclass(frozen=True, slots=True)
class Place:
    """A facility: where it lies, on whose clock, under which law (ISO 3166-2)."""

    pk: UUID
    name: str
    zone: str
    jurisdiction: str
    is_active: bool


@dataclass(frozen=True, slots=True)
class Colleague:
    """A practitioner at work at a facility."""

    pk: UUID
    name: str
    credential: Credential
    gender: str


@dataclass(frozen=True, slots=True)
class RoomInUse:
    """A room of a facility that may be booked."""

    pk: UUID
    name: str
    is_private: bool


@dataclass(frozen=True, slots=True)
class SupervisionOfDay:
    """Who supervises whom at a facility on one of its local days, and whether they co-sign."""

    id: UUID
    revision: int
    supervisor_id: UUID
    supervised_id: UUID
    co_signs: bool


def place_of(row: Facility) -> Place:
    """A row of any time as a place."""
    return Place(row.pk, row.name, row.zone, row.jurisdiction, row.is_active)


def places() -> Mapping[UUID, Place]:
    """Every facility by id, those that are closed for good too."""
    return memoize(
        "places",
        lambda: MappingProxyType({one.pk: place_of(one) for one in Facility.objects.all()}),
    )


def places_seen(actor: Actor) -> list[Place]:
    """The facilities that this member of staff may see, by name."""
    seen = visible_facility_ids(actor)
    found = [one for one in places().values() if seen is None or one.pk in seen]
    return sorted(found, key=lambda one: (one.name, one.pk))


def place_get(actor: Actor, facility_id: UUID) -> Place:
    """A facility that this member of staff may see. Raises Rejected 404."""
    seen = visible_facility_ids(actor)
    found = places().get(facility_id) if seen is None or facility_id in seen else None
    return existing(found, "facility")


def practitioner_names() -> Names:
    """The name of every practitioner by id, of those who left too."""
    return memoize(
        "practitioner names",
        lambda: MappingProxyType(dict(Practitioner.objects.values_list("pk", "name"))),
    )


def facility_names() -> Names:
    """The name of every facility by id."""
    return {one.pk: one.name for one in places().values()}


def room_names() -> Names:
    """The name of every room by id, of those out of use too."""
    return memoize(
        "room names", lambda: MappingProxyType(dict(Room.objects.values_list("pk", "name")))
    )


def rooms_in_use(facility_id: UUID) -> tuple[RoomInUse, ...]:
    """The rooms of a facility that are in use, by name."""
    return memoize(("rooms", facility_id), lambda: _rooms_in_use(facility_id))


def _rooms_in_use(facility_id: UUID) -> tuple[RoomInUse, ...]:
    rows = Room.objects.filter(facility_id=facility_id, is_active=True).order_by("name", "pk")
    return tuple(RoomInUse(one.pk, one.name, one.is_private) for one in rows)


def colleagues_at(facility_id: UUID) -> Mapping[UUID, Colleague]:
    """The practitioners who work at a facility, by id and in order of it."""
    return memoize(("colleagues", facility_id), lambda: _colleagues_at(facility_id))


def _colleagues_at(facility_id: UUID) -> Mapping[UUID, Colleague]:
    rows = Practitioner.objects.filter(is_active=True, facilities=facility_id).order_by("pk")
    found = (Colleague(one.pk, one.name, Credential(one.credential), one.gender) for one in rows)
    return MappingProxyType({one.pk: one for one in found})


def supervision_of(row: Supervision) -> SupervisionOfDay:
    """A row of any time as what it says."""
    return SupervisionOfDay(
        row.pk, row.revision, row.supervisor_id, row.supervised_id, row.co_signs
    )


def supervisions_on(facility_id: UUID, day: date) -> tuple[SupervisionOfDay, ...]:
    """Who is supervised at a facility on one of its local days."""
    return memoize(
        ("supervisions", facility_id, day),
        lambda: tuple(
            map(supervision_of, Supervision.objects.filter(facility_id=facility_id, day=day))
        ),
    )
