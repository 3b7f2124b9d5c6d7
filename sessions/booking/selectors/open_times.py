"""Open times for a client: hours, rooms, people and permissions; every one can be booked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final
from uuid import UUID, uuid4

from clients.clinical.domain.facts import CLIENT_FACTS, client_facts
from clients.identity.domain.unsuitable import falls_on, unsuitable_reasons
from clients.identity.selectors import require_visible_client
from clients.permissions.domain.results import narrower
from practice.core.decisions import Actor, Context
from practice.core.reasons import Reason
from practice.core.terms import Mode
from practice.people_and_places.selectors.kept import Colleague, RoomInUse
from practice.work import loading
from practice.work.advising import Advisors
from sessions.assessment.domain.assessment import session_reasons
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.domain.client_side import ClientSide, client_warnings
from sessions.booking.domain.commands import BOOKING, UNPAID, BookingQuestion, Slot
from sessions.booking.domain.far_ahead import far_ahead_warnings
from sessions.booking.domain.open_times import OpenTimesRequest
from sessions.booking.domain.open_times_query import OpenTimesQuery
from sessions.booking.domain.part_hands_on import part_warnings
from sessions.booking.domain.spread import Offered, OfferOrder, Step, visiting_order, walk
from sessions.booking.selectors.client_side import client_side, sessions_between
from sessions.booking.selectors.open_days import OpenDays, OpenFor, OpenPlace
from sessions.booking.selectors.open_places import (
    NO_HOURS,
    Closures,
    absent_days,
    closures,
    open_places,
)
from sessions.booking.selectors.who_may import Exclusion, WhoMay
from sessions.calendar.domain.held_time import NO_BUFFERS
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.terms import SessionPurpose
from sessions.held_slots.domain.held_slot import held_on, held_reason
from sessions.kinds.domain.kind import kind_warnings, mode_of
from sessions.kinds.selectors import kind_named

MOST_EVALUATED: Final = 60
"""So many sessions are evaluated in full for a page; one that finds less ends there, short."""
MOST_VISITED: Final = 400
"""So many days are gone through for a page, the same day again counted."""

DAYS_BY_TIME: Final = 4
MOST_DAYS: Final = 42
"""Held times are read for so many days with one query."""

DOES_NOT_EVALUATE: Final = Reason(
    code="credential_does_not_evaluate",
    text="This credential does not evaluate.",
    source="practice policy",
)


@dataclass(frozen=True)
class OpenTimeOffer:
    """An open time as it would be booked."""

    practitioner: Colleague
    place: OpenPlace
    room: RoomInUse | None
    starts_at: datetime
    ends_at: datetime
    mode: Mode
    reasons: tuple[Reason, ...]
    warnings: tuple[Reason, ...]


@dataclass(frozen=True)
class OpenTimes:
    """One page of offers in order of time; ``following``: where the next one begins, None after
    the last. ``excluded``: who is not offered among the days looked at. ``closures``: when the
    facilities are closed. ``left_out``: why some times of the asked days are not offered."""

    offers: list[OpenTimeOffer]
    following: Step | None
    excluded: list[Exclusion]
    closures: list[Closures]
    people: dict[UUID, Colleague]
    left_out: list[Reason]


def open_times(
    actor: Actor,
    query: OpenTimesQuery,
    settings: CalendarSettings,
    now: datetime,
    *,
    size: int,
    start: Step | None = None,
) -> OpenTimes:
    """A page of the open times that the caller may offer. Raises Rejected 400, 404."""
    kind = None if query.kind_id is None else kind_named(query.kind_id)
    query = query.of_kind(kind)
    request = query.request(settings, now, NO_BUFFERS if kind is None else kind.buffers)
    require_visible_client(actor, query.client_id)
    places = open_places(actor, query)
    days = request.days()
    kept = sessions_between([query.client_id], query.first_day, query.last_day, now, settings)
    client = client_side(query.client_id, kept[query.client_id])
    offering = _Offering(actor, query, now, places, client, settings)
    for place in places:
        for who in place.people:
            if who not in place.calendar.working_hours and days:
                offering.who.exclude(who, place.facility.pk, days[0], (NO_HOURS,))
                offering.who.exclude(who, place.facility.pk, days[-1], (NO_HOURS,))
        for who, day, why in absent_days(place, days):
            offering.who.exclude(who, place.facility.pk, day, (why,))
    found, following = offering.page(request, size, start or Step(0, 0))
    return OpenTimes(
        offers=sorted(
            found, key=lambda one: (one.starts_at, one.practitioner.name, one.place.name)
        ),
        following=following,
        excluded=offering.who.exclusions,
        closures=[closures(place, days, query) for place in places],
        people={who: person for place in places for who, person in place.people.items()},
        left_out=offering.left_out(days),
    )


class _Offering:
    """Makes offers of open times: whether and as what each could be booked."""

    def __init__(
        self,
        actor: Actor,
        query: OpenTimesQuery,
        now: datetime,
        places: Sequence[OpenPlace],
        client: ClientSide,
        settings: CalendarSettings,
    ) -> None:
        states = loading.state_loader(query.client_id).require
        context = Context(now=now, actor=actor, new_id=uuid4)
        assessor = SessionAssessor(query.client_id, client_facts(states(CLIENT_FACTS)))
        self.who = WhoMay(assessor, Mode.HANDS_ON if query.hands_on else Mode.SELF_DIRECTED)
        self._query = query
        self._places = {place.facility.pk: place for place in places}
        self._warned = Advisors(BOOKING, query.client_id, states, context)
        self._unpaid = Advisors(UNPAID, query.client_id, states, context) if query.covered else None
        self._client, self._settings, self._now = client, settings, now
        self._evaluating = assessor.settings.evaluating_credentials
        self._kind = None if query.kind_id is None else kind_named(query.kind_id)

    def page(
        self, request: OpenTimesRequest, size: int, start: Step
    ) -> tuple[list[OpenTimeOffer], Step | None]:
        """The offers from a step on, and where the next page begins; None where there is none."""
        days = [day for day in request.days() if self._anyone_works(day)]
        order, places = visiting_order(self._query.order, days), list(self._places.values())
        # A page that is spread shows a day once, and looks at the next to know that there is more.
        at_once = DAYS_BY_TIME if self._query.order is OfferOrder.TIME else min(size + 1, MOST_DAYS)
        spared = () if self._query.with_unsuitable else self._client.unsuitable_times
        client = OpenFor(self._query.client_id, self._client.zone, spared)
        open_days = OpenDays(request, client, places, order, at_once, self._may)
        offers: list[OpenTimeOffer] = []
        steps = walk(self._query.order, order, open_days.on, start)
        for visited, (step, offered) in enumerate(steps):
            tired = self.who.asked >= MOST_EVALUATED or visited >= MOST_VISITED
            if len(offers) == size or tired:
                return offers, step
            if offered is None:
                continue
            if (offer := self._offer(offered, open_days)) is not None:
                offers.append(offer)
        return offers, None

    def _may(self, practitioner_id: UUID, facility_id: UUID, day: date) -> bool:
        """Whether there can be a session at all; an evaluation with who evaluates alone."""
        if self._query.purpose is SessionPurpose.EVALUATION:
            person = self._places[facility_id].people[practitioner_id]
            if person.credential not in self._evaluating:
                self.who.exclude(practitioner_id, facility_id, day, (DOES_NOT_EVALUATE,))
                return False
        return self.who.may(practitioner_id, facility_id, day)

    def _anyone_works(self, day: date) -> bool:
        return any(place.calendar.anyone_works_on(day) for place in self._places.values())

    def _offer(self, offered: Offered, open_days: OpenDays) -> OpenTimeOffer | None:
        slot, place = offered.slot, self._places[offered.facility_id]
        permissions = self.who.planned(slot.practitioner_id, offered.facility_id, offered.day)
        if permissions is None:
            return None
        person = place.people[slot.practitioner_id]
        asked = Slot(
            practitioner_id=person.pk,
            credential=person.credential,
            facility_id=place.facility.pk,
            room_id=slot.room_id,
            starts_at=slot.begin,
            ends_at=slot.end,
            zone=place.calendar.zone,
        )
        question = BookingQuestion(slot=asked)
        if self._unpaid is not None and (why := self._unpaid.on(question)):
            self.who.exclude(person.pk, place.facility.pk, offered.day, tuple(why))
            return None
        begin, mode, of_kind = asked.local_start, permissions.mode, []
        if self._kind is not None:
            mode = narrower(mode_of(self._kind, None) or mode, mode)
            private = any(one.pk == slot.room_id and one.is_private for one in place.rooms or ())
            of_kind = kind_warnings(self._kind, private=private, mode=permissions.mode)
        holiday = place.calendar.holiday_worked(begin.date())
        warnings = [
            *([holiday] if holiday else []),
            *client_warnings(asked, self._client, self._settings, self._now),
            *far_ahead_warnings(asked, self._now, self._settings.far_ahead_months),
            *of_kind,
            *open_days.travel_warnings(asked),
            *permissions.warnings,
            *part_warnings(permissions),
            *self._warned.on(question),
        ]
        return OpenTimeOffer(
            practitioner=person,
            place=place,
            room=next((one for one in place.rooms or () if one.pk == slot.room_id), None),
            starts_at=begin,
            ends_at=slot.end.astimezone(begin.tzinfo),
            mode=mode,
            reasons=session_reasons(permissions.reasons),
            warnings=tuple(warnings),
        )

    def left_out(self, days: Sequence[date]) -> list[Reason]:
        """Why some times of the days are not offered although somebody would have them."""
        times = () if self._query.with_unsuitable else self._client.unsuitable_times
        held = [
            held_reason(one, place.people[one.practitioner_id].name)
            for place in self._places.values()
            for one in place.held_slots
            if any(held_on(one, day, place.calendar.zone, self._now) for day in days)
        ]
        return [
            *unsuitable_reasons(one for one in times if any(falls_on(one, day) for day in days)),
            *held,
        ]
