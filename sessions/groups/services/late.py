"""Enter a class after it took place, in an outage say: who came, and who did not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from uuid import UUID

from practice.core.reasons import Reason
from practice.core.terms import Mode
from practice.policy import change_log as history
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.commands import Attendance, Slot
from sessions.booking.domain.hours import hours_warnings
from sessions.booking.domain.late_entry import ended_reason
from sessions.booking.services.class_places import place_request
from sessions.booking.services.conflicts import find_conflicts
from sessions.booking.services.facts import closed_to_treatment, near_warnings, room_warnings
from sessions.booking.services.places import SlotPlace
from sessions.booking.services.requests import BookRequest
from sessions.booking.services.sessions import SessionCommandResult, book_decided, write
from sessions.calendar.domain.terms import SubmittedArrivalAnswers
from sessions.calendar.models import ExerciseClass, Session
from sessions.calendar.selectors.classes import classes_holding
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.groups.domain.late import (
    check_no_place_yet,
    check_not_on_record,
    check_places_fit,
    overlap_warnings,
)
from sessions.groups.domain.rules import check_capacity
from sessions.groups.domain.settings import GroupSettings
from sessions.groups.services.columns import slot_columns


@dataclass(frozen=True, kw_only=True)
class LatePlace:
    """A client who had a place in a class that took place, and what they answered on arrival."""

    client_id: UUID
    attendance: Attendance
    requested_mode: Mode | None = None
    answers: SubmittedArrivalAnswers = field(default_factory=SubmittedArrivalAnswers)


@dataclass(frozen=True)
class EnteredClass:
    """A class that was entered after it took place, with the session of each place."""

    class_id: UUID
    warnings: list[Reason]
    places: list[SessionCommandResult]


def class_enter(
    uow: UnitOfWork, place: SlotPlace, slot: Slot, row: ExerciseClass, late: tuple[LatePlace, ...]
) -> EnteredClass:
    """Enter a class and every place in it, under the locks on all of them: each as a session
    entered late would be, by what was so that day.

    What happened is kept: an overlap, a closed place and a practitioner against a preference are
    said. Raises Rejected: 400 for a time or places that cannot be, 409 where it is on record.
    """
    check_capacity(row.capacity, settings_group("groups", GroupSettings)[0])
    check_places_fit([one.client_id for one in late], row.capacity)
    check_not_on_record(_same_class(slot))
    hours = facility_calendar(slot.facility_id, slot.zone, (slot.practitioner_id,))
    warnings = [
        *(ended_reason(one, slot.local_start.date()) for one in place.ended),
        *closed_to_treatment(slot, hours, uow.now),
        *hours_warnings(slot, hours),
        *room_warnings(slot, None),
        *near_warnings(slot, None),
        *overlap_warnings({one.session_id for one in find_conflicts(None, slot, None)}),
    ]
    entered = {"entered_late_at": uow.now, "entered_late_by": uow.actor.id}
    history.create_row(uow, row, {**slot_columns(slot), **entered}, "class")
    return EnteredClass(row.pk, warnings, list(_entered(uow, place, row, late)))


def place_enter(
    uow: UnitOfWork, place: SlotPlace, row: ExerciseClass, late: LatePlace
) -> SessionCommandResult:
    """Enter one more place in a class that took place. Raises Rejected 409 where the client has
    one there already."""
    held = Session.objects.filter(class_id=row.pk, client_id=late.client_id)
    check_no_place_yet(held.exclude(status__in=("cancelled", "entered_in_error")).first())
    return write(uow, book_decided(uow, place, _request(row, late)))


def _entered(
    uow: UnitOfWork, place: SlotPlace, row: ExerciseClass, late: Iterable[LatePlace]
) -> Iterator[SessionCommandResult]:
    for one in late:
        yield write(uow, book_decided(uow, place, _request(row, one)))


def _request(row: ExerciseClass, late: LatePlace) -> BookRequest:
    request = place_request(row, late.client_id, late.requested_mode)
    return replace(request, attendance=late.attendance, answers=late.answers)


def _same_class(slot: Slot) -> UUID | None:
    held = classes_holding(slot.starts_at, slot.ends_at).filter(
        practitioner_id=slot.practitioner_id, starts_at=slot.starts_at
    )
    return held.values_list("pk", flat=True).first()
