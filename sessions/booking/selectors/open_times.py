"""Open times for a client: hours, rooms, people and preference; every one can be booked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID, uuid4

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.identity.selectors import require_visible_client
from clients.permissions.domain.results import SessionPermissions as Verdicts
from practice.core.decisions import Actor, Context
from practice.core.localtime import day_bounds, zone_named
from practice.core.reasons import Reason, invalid
from practice.core.terms import Mode
from practice.people_and_places.selectors.kept import (
    Colleague,
    Place,
    colleagues_at,
    place_get,
    rooms_in_use,
)
from practice.work import loading
from practice.work.advising import Advisors
from sessions.assessment.selectors.assessor import AssessmentPlace, SessionAssessor
from sessions.booking.domain.commands import BOOKING, BookingQuestion, Slot
from sessions.booking.domain.open_times import (
    OpenSlot,
    OpenTimesRequest,
    TakenTimes,
    TimeSpan,
    find_open_slots,
)
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.calendar.selectors.sessions import sessions_holding_time


@dataclass(frozen=True, kw_only=True)
class OpenTimesQuery:
    """What is asked: a client, a facility, local days (both included) and a length in minutes."""

    client_id: UUID
    facility_id: UUID
    practitioner_id: UUID | None
    first_day: date
    last_day: date
    minutes: int
    limit: int = 50


@dataclass(frozen=True)
class OpenTimeOffer:
    """An open time as it would be booked."""

    practitioner: Colleague
    facility: Place
    room_id: UUID | None
    starts_at: datetime
    ends_at: datetime
    mode: Mode
    reasons: tuple[Reason, ...]
    warnings: tuple[Reason, ...]


@dataclass(frozen=True)
class OpenTimes:
    """Offers in order of time; ``more``: there are more than asked for. ``left_out``: the
    practitioners who go against the preference, with the reasons."""

    offers: list[OpenTimeOffer]
    more: bool
    excluded: dict[UUID, tuple[Reason, ...]]


def open_times(
    actor: Actor, query: OpenTimesQuery, settings: CalendarSettings, now: datetime
) -> OpenTimes:
    """The open times that the caller may offer. Raises Rejected 400, 404."""
    _check(query, settings)
    require_visible_client(actor, query.client_id)
    facility = place_get(actor, query.facility_id)
    people = _people(query)
    loaded = loading.state_loader(query.client_id)
    assessor = SessionAssessor(query.client_id, client_facts(loaded.require(CLIENT_FACTS)))
    context = Context(now=now, actor=actor, new_id=uuid4)
    advisors = Advisors(BOOKING, query.client_id, loaded.require, context)
    asked = OpenTimesRequest(
        first_day=query.first_day,
        last_day=query.last_day,
        length=timedelta(minutes=query.minutes),
        step=timedelta(minutes=settings.open_times_step_minutes),
        not_before=now,
    )
    calendar = facility_calendar(facility.pk, facility.zone, people)
    found = find_open_slots(asked, calendar, _taken(query, facility, list(people)))
    return _offered(query, facility, people, (assessor, advisors), found)


def _offered(
    query: OpenTimesQuery,
    facility: Place,
    people: Mapping[UUID, Colleague],
    asked: tuple[SessionAssessor, Advisors],
    found: Iterator[OpenSlot],
) -> OpenTimes:
    zone = zone_named(facility.zone)
    offers: list[OpenTimeOffer] = []
    excluded: dict[UUID, tuple[Reason, ...]] = {}
    assessor, advisors = asked
    session_permissions = _PermissionsByDay(assessor, facility.pk)
    for one in found:
        day = one.span.begin.astimezone(zone).date()
        stretch_permission = session_permissions.on(one.practitioner_id, day)
        if stretch_permission.refusals:
            excluded[one.practitioner_id] = stretch_permission.refusals
            continue
        if len(offers) == query.limit:
            return OpenTimes(offers, more=True, excluded=excluded)
        offers.append(
            OpenTimeOffer(
                practitioner=people[one.practitioner_id],
                facility=facility,
                room_id=one.room_id,
                starts_at=one.span.begin.astimezone(zone),
                ends_at=one.span.end.astimezone(zone),
                mode=stretch_permission.mode,
                reasons=stretch_permission.reasons,
                warnings=tuple(advisors.on(BookingQuestion(slot=_slot(one, people, facility)))),
            )
        )
    return OpenTimes(offers, more=False, excluded=excluded)


def _slot(one: OpenSlot, people: Mapping[UUID, Colleague], facility: Place) -> Slot:
    return Slot(
        practitioner_id=one.practitioner_id,
        credential=people[one.practitioner_id].credential,
        facility_id=facility.pk,
        room_id=one.room_id,
        starts_at=one.span.begin,
        ends_at=one.span.end,
        zone=facility.zone,
    )


class _PermissionsByDay:
    """The planned permissions for each practitioner and day, evaluated when first needed."""

    def __init__(self, assessor: SessionAssessor, facility_id: UUID) -> None:
        self._assessor = assessor
        self._facility_id = facility_id
        self._known: dict[tuple[UUID, date], Verdicts] = {}

    def on(self, practitioner_id: UUID, day: date) -> Verdicts:
        """The permissions of a session with the practitioner on a local day."""
        if (practitioner_id, day) not in self._known:
            place = AssessmentPlace(practitioner_id, self._facility_id, day)
            self._known[practitioner_id, day] = self._assessor.case(place).planned()
        return self._known[practitioner_id, day]


def _check(query: OpenTimesQuery, settings: CalendarSettings) -> None:
    least, most = settings.shortest_session_minutes, settings.longest_session_minutes
    if not least <= query.minutes <= most:
        raise invalid("minutes", f"A session lasts {least} to {most} minutes here.")
    if query.last_day < query.first_day:
        raise invalid("to", "The last day lies before the first.")
    if query.last_day - query.first_day >= timedelta(days=settings.open_times_days):
        raise invalid("to", f"Ask for at most {settings.open_times_days} days at once.")


def _people(query: OpenTimesQuery) -> Mapping[UUID, Colleague]:
    found = colleagues_at(query.facility_id)
    if query.practitioner_id is None:
        return found
    if query.practitioner_id not in found:
        raise invalid("practitioner", "There is no such practitioner at work at that facility.")
    return {query.practitioner_id: found[query.practitioner_id]}


def _taken(query: OpenTimesQuery, facility: Place, people: list[UUID]) -> TakenTimes:
    rooms = rooms_in_use(facility.pk)
    begin, _ = day_bounds(query.first_day, facility.zone)
    _, end = day_bounds(query.last_day, facility.zone)
    held = list(
        sessions_holding_time(begin, end, practitioners=people, rooms=rooms, client=query.client_id)
    )
    by_person, by_room = _by(held, "practitioner_id"), _by(held, "room_id")
    return TakenTimes(
        practitioners=by_person,
        client=_by(held, "client_id")[query.client_id],
        rooms={room: by_room[room] for room in rooms} if rooms else None,
    )


def _by(held: Sequence[Session], column: str) -> defaultdict[UUID, list[TimeSpan]]:
    found: defaultdict[UUID, list[TimeSpan]] = defaultdict(list)
    for row in held:
        found[getattr(row, column)].append(TimeSpan(row.starts_at, row.ends_at))
    return found
