"""Locks on people and rooms, and who holds a time: the check behind every booking.

The order is always the same, so that two bookings never wait for each other in a
circle: client heads, then practitioners, then rooms, each sorted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar
from uuid import UUID

from django.db import IntegrityError, connection, models
from django.db.models import Q

from clients.identity.models import Client
from practice.core.localtime import day_bounds
from practice.core.reasons import Reason, invalid
from practice.people_and_places.models.facilities import Facility, OpeningHours, Room
from practice.people_and_places.models.practitioners import Practitioner, WorkingHours
from practice.people_and_places.selectors.facilities import facility_get
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.commands import ConflictWith, SchedulingConflict, Slot
from sessions.booking.domain.decisions import time_taken_error
from sessions.calendar.domain.state import TIME_HOLDING_STATUSES
from sessions.calendar.guards import GUARDS
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import open_days

Row = TypeVar("Row", bound=models.Model)


def lock_rows(model: type[Row], ids: Iterable[UUID | None]) -> dict[UUID, Row]:
    """Rows by id under their locks, taken in order of id. SQLite's writer lock is enough there."""
    rows = model._default_manager.filter(pk__in=[one for one in ids if one]).order_by("pk")
    if connection.features.has_select_for_no_key_update:
        rows = rows.select_for_update(no_key=True)
    return {row.pk: row for row in rows}


def lock_place(
    uow: UnitOfWork,
    *,
    practitioner_id: UUID,
    facility_id: UUID,
    room_id: UUID | None,
    leaving: Iterable[UUID] = (),
) -> tuple[Practitioner, Facility, Room | None]:
    """Lock practitioner and room (and those being left) and check that they fit together.

    Raises Rejected: 404 for a facility that the caller may not see, 400 with the field
    for a practitioner or a room that does not work there.
    """
    facility = facility_get(uow.actor, facility_id)
    left = list(leaving)
    people = lock_rows(Practitioner, [practitioner_id, *left])
    rooms = lock_rows(Room, [room_id, *left])
    practitioner = people.get(practitioner_id)
    if practitioner is None or not practitioner.is_active:
        raise invalid("practitioner_id", "There is no such practitioner at work here.")
    if not practitioner.facilities.filter(pk=facility_id).exists():
        raise invalid("practitioner_id", "This practitioner does not work at that facility.")
    room = rooms.get(room_id) if room_id else None
    if room_id and (room is None or not room.is_active or room.facility_id != facility_id):
        raise invalid("room_id", "There is no such room in use at that facility.")
    if not facility.is_active:
        raise invalid("facility_id", "This facility is closed for good.")
    return practitioner, facility, room


def find_conflicts(client_id: UUID, slot: Slot, session_id: UUID) -> tuple[SchedulingConflict, ...]:
    """The other sessions that hold the slot's time, and what each of them takes."""
    same = Q(practitioner_id=slot.practitioner_id) | Q(client_id=client_id)
    if slot.room_id is not None:
        same |= Q(room_id=slot.room_id)
    found = Session.objects.filter(
        same,
        status__in=TIME_HOLDING_STATUSES,
        starts_at__lt=slot.ends_at,
        ends_at__gt=slot.starts_at,
    ).exclude(pk=session_id)
    return tuple(conflict for row in found for conflict in _conflicts_of(row, client_id, slot))


def _conflicts_of(row: Session, client_id: UUID, slot: Slot) -> Iterator[SchedulingConflict]:
    kinds = {
        ConflictWith.PRACTITIONER: row.practitioner_id == slot.practitioner_id,
        ConflictWith.ROOM: slot.room_id is not None and row.room_id == slot.room_id,
        ConflictWith.CLIENT: row.client_id == client_id,
    }
    for kind, taken in kinds.items():
        if taken:
            yield SchedulingConflict(kind, row.pk, row.starts_at, row.ends_at)


@contextmanager
def conflicts_refused(slot: Slot, session_id: UUID) -> Iterator[None]:
    """Turn the refusal of the database's own guard into the refusal of a taken time."""
    try:
        yield
    except IntegrityError as error:
        taken = [kind for name, kind in GUARDS.items() if name in str(error)]
        if not taken:
            raise
        raise time_taken_error(
            [
                SchedulingConflict(ConflictWith(kind), session_id, slot.starts_at, slot.ends_at)
                for kind in taken
            ],
            slot.zone,
        ) from error


def outside_hours(slot: Slot) -> list[Reason]:
    """A warning where the practitioner does not work there at that time."""
    local = slot.local_start
    ends = slot.ends_at.astimezone(local.tzinfo)
    _, midnight = day_bounds(local.date(), slot.zone)
    spans = WorkingHours.objects.filter(
        practitioner_id=slot.practitioner_id,
        facility_id=slot.facility_id,
        weekday=local.isoweekday(),
    )
    inside = slot.ends_at < midnight and any(
        span.starts <= local.time() and ends.time() <= span.ends for span in spans
    )
    if inside:
        return []
    text = "The practitioner's working hours there do not cover this time."
    return [Reason(code="outside_working_hours", text=text, source="practice policy")]


def facility_closed(slot: Slot) -> list[Reason]:
    """A warning where the facility itself is closed; none where its hours are not on record."""
    local, ends = slot.local_start, slot.ends_at.astimezone(slot.local_start.tzinfo)
    open_at = list(OpeningHours.objects.filter(facility_id=slot.facility_id))
    holiday = local.date() in open_days().closed_days
    covered = local.date() == ends.date() and any(
        span.weekday == local.isoweekday()
        and span.opens <= local.time()
        and ends.time() <= span.closes
        for span in open_at
    )
    if not holiday and (covered or not open_at):
        return []
    text = "The facility is closed then."
    return [Reason(code="facility_closed", text=text, source="the facility's opening hours")]


def not_known_here(client_id: UUID, slot: Slot) -> list[Reason]:
    """A warning where the client is not known at the facility: its staff do not see her record."""
    known = Client.objects.filter(pk=client_id).values_list("facility_ids", flat=True).first()
    if str(slot.facility_id) in map(str, known or []):
        return []
    text = "The client is not known at this facility: add it to the client's record."
    return [Reason(code="not_known_here", text=text, source="the client's record")]
