"""What is open at some facilities, read in pieces: a page costs the days that it shows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import NamedTuple, TypeAlias
from uuid import UUID

from clients.identity.domain.contact import UnsuitableTime
from clients.identity.domain.unsuitable import unsuitable_spans
from practice.core.localtime import day_minutes, instant_of, minute_after, minute_of
from practice.core.reasons import Reason
from practice.core.spans import Span
from practice.people_and_places.selectors.kept import Colleague, Place, RoomInUse
from sessions.booking.domain.commands import Slot
from sessions.booking.domain.neighbours import Neighbour, travel_warnings
from sessions.booking.domain.open_times import FacilityTimes, OpenTimesRequest, TakenTimes
from sessions.booking.domain.spread import OpenPlaces
from sessions.calendar.domain.facility_calendar import FacilityCalendar
from sessions.calendar.domain.held_time import LONGEST_BUFFER, Buffers, held_minutes
from sessions.calendar.selectors.sessions import times_held
from sessions.held_slots.domain.held_slot import HeldSlot, held_spans
from sessions.travel.domain.travel import LONGEST_TRAVEL, minutes_between
from sessions.travel.selectors import travel_times


@dataclass(frozen=True, kw_only=True)
class OpenPlace:
    """A facility with those who are asked for there. ``rooms`` None: it books without rooms;
    ``held_slots``: times of theirs that are not for what is asked."""

    facility: Place
    calendar: FacilityCalendar
    people: Mapping[UUID, Colleague]
    rooms: Sequence[RoomInUse] | None
    held_slots: Sequence[HeldSlot] = ()

    @property
    def name(self) -> str:
        """The facility's."""
        return self.facility.name


class OpenFor(NamedTuple):
    """The client, and the times of theirs, on the clock of their zone, in which nothing is
    offered."""

    client_id: UUID
    zone: str
    unsuitable_times: Sequence[UnsuitableTime] = ()


_At: TypeAlias = tuple[UUID, Span]
"""A facility, and when a practitioner has a session there."""


class OpenDays:
    """The open times of some facilities by local day, of those with whom there may be a session.

    ``days`` stand in the order in which they will be asked for; held times are read for
    ``at_once`` of them with one query. ``may``: whether there may be a session with a
    practitioner, at a facility, on a day.
    """

    def __init__(
        self,
        asked: OpenTimesRequest,
        client: OpenFor,
        places: Sequence[OpenPlace],
        days: Sequence[date],
        at_once: int,
        may: Callable[[UUID, UUID, date], bool],
    ) -> None:
        self._asked = asked
        self._client = client
        self._places = places
        self._days = {day: number for number, day in enumerate(days)}
        self._in_order = days
        self._at_once = at_once
        self._may = may
        self._open: dict[date, OpenPlaces] = {}
        self._elsewhere: defaultdict[UUID, list[_At]] = defaultdict(list)
        self._read_so_far: defaultdict[UUID, set[_At]] = defaultdict(set)

    def travel_warnings(self, slot: Slot) -> list[Reason]:
        """What a booking of a slot on one of the days read so far would be warned of: a way to or
        from another place of which nobody said how long it takes."""
        of_theirs = self._read_so_far[slot.practitioner_id]
        begin, end = minute_of(slot.starts_at), minute_after(slot.ends_at)
        near = [
            Neighbour(
                session_id=there,
                practitioner_id=slot.practitioner_id,
                facility_id=there,
                room_id=None,
                starts_at=instant_of(first),
                ends_at=instant_of(last),
            )
            for there, (first, last) in of_theirs
            if there != slot.facility_id
            and begin - LONGEST_TRAVEL < last
            and first < end + LONGEST_TRAVEL
        ]
        return travel_warnings(slot, near, travel_times()) if near else []

    def on(self, day: date) -> OpenPlaces:
        """What is open on one of the days, by facility."""
        if day not in self._open:
            first = self._days[day]
            self._read(self._in_order[first : first + self._at_once])
        return self._open[day]

    def _read(self, days: Sequence[date]) -> None:
        held = self._held(days)
        times = [
            (
                one.facility.pk,
                FacilityTimes(self._asked, one.calendar, self._taken(one, held, days)),
            )
            for one in self._places
        ]
        for day in days:
            self._open[day] = [
                (pk, of_place.day(day).only(partial(self._may_with, pk, day)))
                for pk, of_place in times
            ]

    def _may_with(self, facility_id: UUID, day: date, practitioner_id: UUID) -> bool:
        return self._may(practitioner_id, facility_id, day)

    def _held(self, days: Sequence[date]) -> Mapping[UUID, list[Span]]:
        """Held times by whose they are: a practitioner, a room, the client."""
        client_id, client_zone, times = self._client
        zones = {one.calendar.zone for one in self._places}
        rooms = {room.pk for one in self._places for room in one.rooms or ()}
        people = {who for one in self._places for who in one.people}
        reach = max(2 * LONGEST_BUFFER, LONGEST_TRAVEL)
        spans = [
            (begin - reach, end + self._asked.length + reach)
            for begin, end in (day_minutes(day, zone) for day in days for zone in zones)
        ]
        rows = times_held(spans, practitioners=people, rooms=rooms, client_id=client_id)
        found: defaultdict[UUID, list[Span]] = defaultdict(list)
        for span in spans:
            found[client_id] += unsuitable_spans(times, client_zone, span)
        self._elsewhere.clear()
        kept_free = self._asked.buffers.turned
        for one in rows:
            own = (one.begin, one.end)
            self._elsewhere[one.practitioner_id].append((one.facility_id, own))
            self._read_so_far[one.practitioner_id].add((one.facility_id, own))
            if one.client_id == client_id:
                found[client_id].append(own)
            held = held_minutes(held_minutes(own, one.buffers), kept_free)
            found[one.practitioner_id].append(held)
            if one.room_id is not None:
                found[one.room_id].append(held)
        return found

    def _on_the_way(self, practitioner_id: UUID, facility_id: UUID) -> Iterator[Span]:
        """When a practitioner is at another place, or on the way from or to this one."""
        times = travel_times()
        for there, span in self._elsewhere[practitioner_id] if times else ():
            if way := minutes_between(times, there, facility_id):
                yield held_minutes(span, Buffers(way, way))

    def _taken(
        self, place: OpenPlace, held: Mapping[UUID, list[Span]], days: Sequence[date]
    ) -> TakenTimes:
        busy = {who: list(held.get(who, ())) for who in place.people}
        for who in busy:
            busy[who] += self._on_the_way(who, place.facility.pk)
        zone, now = place.calendar.zone, self._asked.not_before
        for one in place.held_slots:
            # A session that begins late may reach into the day after.
            for day in {day + timedelta(days=n) for day in days for n in (0, 1)}:
                busy[one.practitioner_id] += held_spans([one], day, zone, now)
        return TakenTimes(
            practitioners=busy,
            client=held.get(self._client.client_id, []),
            rooms=None
            if place.rooms is None
            else {room.pk: held.get(room.pk, []) for room in place.rooms},
        )
