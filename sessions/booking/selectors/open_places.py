"""Where and with whom open times are looked for, and when those places are closed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final
from uuid import UUID

from practice.core.decisions import Actor
from practice.core.reasons import Reason, invalid
from practice.people_and_places.selectors.kept import (
    Colleague,
    Place,
    colleagues_at,
    place_get,
    places_seen,
    rooms_in_use,
)
from sessions.booking.domain.open_times_query import OpenTimesQuery
from sessions.booking.selectors.open_days import OpenPlace
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.held_slots.domain.held_slot import for_all
from sessions.held_slots.selectors import held_slots_at

NO_HOURS: Final = Reason(
    code="no_working_hours",
    text="No working hours at this facility are on record.",
    source="the practitioner's working hours",
)
NO_PRIVATE_ROOM: Final = Reason(
    code="no_private_room",
    text="This facility has no private room in use.",
    source="the facility's rooms",
)


@dataclass(frozen=True)
class Closures:
    """When a facility is closed on the asked days, and why nothing is offered there at all.

    ``weekdays``: ISO, on which it is never open; ``days``: others on which it is closed.
    """

    place: OpenPlace
    weekdays: tuple[int, ...]
    days: tuple[tuple[date, Reason], ...]
    reasons: tuple[Reason, ...]


def open_places(actor: Actor, query: OpenTimesQuery) -> list[OpenPlace]:
    """The asked facility, or all that the caller sees, with those who are asked for there.

    Raises Rejected: 404 for a facility that the caller may not see, 400 for a practitioner who
    is at work at none of them.
    """
    if query.facility_id is not None:
        facilities = [place_get(actor, query.facility_id)]
    else:
        facilities = places_seen(actor)
    found = [_place(one, query) for one in facilities if one.is_active]
    if query.practitioner_id is not None and not any(place.people for place in found):
        detail = "There is no such practitioner at work at that facility."
        raise invalid("practitioner_id", detail)
    return found


def _place(facility: Place, query: OpenTimesQuery) -> OpenPlace:
    there = colleagues_at(facility.pk)
    people = {who: person for who, person in there.items() if _asked_for(person, query)}
    rooms = rooms_in_use(facility.pk)
    asked = [room for room in rooms if room.is_private or not query.private_room]
    return OpenPlace(
        facility=facility,
        calendar=facility_calendar(facility.pk, facility.zone, people),
        people=people,
        rooms=asked if rooms or query.private_room else None,
        held_slots=[
            one
            for one in held_slots_at(facility.pk)
            if one.practitioner_id in people and for_all(query.purpose)
        ],
    )


def _asked_for(person: Colleague, query: OpenTimesQuery) -> bool:
    return (
        query.practitioner_id in (None, person.pk)
        and query.gender in (None, person.gender)
        and query.credential in (None, person.credential)
    )


def absent_days(place: OpenPlace, days: Sequence[date]) -> Iterator[tuple[UUID, date, Reason]]:
    """Who of a place is absent all their hours of an asked day, and why."""
    for who in place.calendar.absences:
        for day in days:
            if (why := place.calendar.why_absent_on(who, day)) is not None:
                yield who, day, why


def closures(place: OpenPlace, days: Sequence[date], query: OpenTimesQuery) -> Closures:
    """When a facility is closed on some days: weekdays once, other days one by one."""
    shut = [(day, why) for day in days if (why := place.calendar.why_closed(day)) is not None]
    weekly = {day.isoweekday() for day, why in shut if why.code == "closed_weekday"}
    return Closures(
        place=place,
        weekdays=tuple(sorted(weekly)),
        days=tuple((day, why) for day, why in shut if day.isoweekday() not in weekly),
        reasons=(NO_PRIVATE_ROOM,) if query.private_room and not place.rooms else (),
    )
