"""Book a series: each time is decided on as a booking alone would be."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import partial
from uuid import UUID

from clients.identity.selectors import require_visible_client
from practice.core.localtime import EnteredTime
from practice.core.reasons import Rejected
from practice.people_and_places.locks import PlaceLocks
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.selectors.assessor import SessionAssessor
from sessions.booking.services.conflicts import place_of_slot
from sessions.booking.services.facts import assessor_of
from sessions.booking.services.places import SlotPlace
from sessions.booking.services.requests import BookRequest, RequestedTime
from sessions.booking.services.sessions import book_decided
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds.domain.kind import SessionKind
from sessions.kinds.selectors import kind_named
from sessions.series.domain import events
from sessions.series.domain.answers import Occurrence, OccurrenceResult, require_any
from sessions.series.domain.changes import SeriesRequest, first_local
from sessions.series.domain.recurrence import occurrences
from sessions.series.domain.state import SERIES
from sessions.series.selectors import series_settings
from sessions.series.services.results import SeriesResult, written


def series_book(uow: UnitOfWork, *, command: SeriesRequest) -> SeriesResult:
    """Book every time of a series that can be booked; with ``all_or_nothing`` all or none.

    Raises Rejected 409 where none can be, or not all that had to, each with its reasons.
    """
    places = PlaceLocks([command.practitioner_id], [command.room_id])
    uow.lock(command.client_id, places=places)
    require_visible_client(uow.actor, command.client_id)
    place = place_of_slot(
        uow,
        places,
        practitioner_id=command.practitioner_id,
        facility_id=command.facility_id,
        room_id=command.room_id,
    )
    zone, series_id = place.facility.zone, uow.context.new_id()
    first = first_local(command.starts_at, zone)
    starts = occurrences(command.recurrence, first, zone, series_settings())
    assessor = assessor_of(command.client_id, partial(uow.states, command.client_id))
    kind = None if command.kind_id is None else kind_named(command.kind_id)
    asked = [_one_of(command, kind, series_id, start) for start in starts]
    found = [_booked(uow, place, one, assessor) for one in asked]
    require_any(
        found,
        OccurrenceResult.BOOKED,
        uow.actor.role,
        all_or_nothing=command.all_or_nothing,
    )
    event = _series_booked(asked[0], command.recurrence, kind, found)
    uow.execute(command.client_id, (SERIES,), lambda _states, _ctx: [event])
    return SeriesResult(series_id, command.client_id, tuple(found))


def _one_of(
    command: SeriesRequest, kind: SessionKind | None, series_id: UUID, start: datetime
) -> BookRequest:
    """One of them as it would be asked for alone. Raises Rejected for what does not fit the kind:
    that is of no single session."""
    request = BookRequest(
        client_id=command.client_id,
        practitioner_id=command.practitioner_id,
        facility_id=command.facility_id,
        room_id=command.room_id,
        when=RequestedTime(starts_at=EnteredTime(instant=start), minutes=command.minutes),
        requested_mode=command.requested_mode,
        purpose=command.purpose,
        kind_id=command.kind_id,
        overrule=command.overrule,
        series_id=series_id,
    )
    return request if kind is None else request.of_kind(kind)


def _booked(
    uow: UnitOfWork, place: SlotPlace, request: BookRequest, assessor: SessionAssessor
) -> Occurrence:
    start, _ = request.when.span(place.facility.zone)
    try:
        decided = book_decided(uow, place, request, assessor)
    except Rejected as refusal:
        if refusal.status != 409:  # What was typed cannot be: of no session of the series.
            raise
        return Occurrence(
            result=OccurrenceResult.REFUSED,
            starts_at=start,
            zone=place.facility.zone,
            refusal=refusal,
        )
    return written(uow, decided, OccurrenceResult.BOOKED)


def _series_booked(
    first: BookRequest, rule: str, kind: SessionKind | None, found: Sequence[Occurrence]
) -> events.SeriesBooked:
    assert first.series_id is not None  # noqa: S101  each is asked for as one of the series
    assert first.when.minutes is not None  # noqa: S101  a series asks for no end
    return events.SeriesBooked(
        series_id=first.series_id,
        practitioner_id=first.practitioner_id,
        facility_id=first.facility_id,
        room_id=first.room_id,
        starts_at=found[0].starts_at,
        zone=found[0].zone,
        minutes=first.when.minutes,
        rule=rule.strip(),
        purpose=first.purpose or SessionPurpose.TREATMENT,
        requested_mode=first.requested_mode,
        kind=None if kind is None else kind.booked(),
        overruled=first.overrule.strip(),
        booked=sum(one.refusal is None for one in found),
        refused=tuple(
            events.RefusedOccurrence(
                starts_at=one.starts_at, code=one.refusal.code, reasons=one.refusal.reasons
            )
            for one in found
            if one.refusal is not None
        ),
    )
