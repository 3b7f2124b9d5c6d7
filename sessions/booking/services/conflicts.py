"""Whether a place can be had and who holds a time: the checks behind every booking, under the
locks on client, practitioner and room."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta
from typing import Final
from uuid import UUID

from django.db import IntegrityError
from django.db.models import Q

from clients.identity.display_names import with_display_names
from practice.core.decisions import Actor
from practice.core.localtime import local_day
from practice.core.reasons import invalid
from practice.people_and_places.locks import PlaceLocks
from practice.people_and_places.models.facilities import Facility, Room
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.selectors.kept import Place, colleagues_at, place_get
from practice.policy.as_known import out_of_use_since
from practice.policy.rows import RevisionedModel
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.commands import ConflictWith, SchedulingConflict, Slot
from sessions.booking.domain.late_entry import Ended, EndedPlace
from sessions.booking.domain.neighbours import Neighbour
from sessions.booking.domain.rooms import RoomUse
from sessions.booking.domain.time_taken import CHOOSE_ANOTHER, time_taken_error
from sessions.booking.services.places import SlotPlace
from sessions.calendar.domain.class_places import together
from sessions.calendar.domain.held_time import LONGEST_BUFFER, NO_BUFFERS, Buffers
from sessions.calendar.guards import GUARDS
from sessions.calendar.models import ExerciseClass, Session
from sessions.calendar.selectors.classes import classes_holding
from sessions.calendar.selectors.sessions import holding_time, session_list
from sessions.travel.domain.travel import LONGEST_TRAVEL

_COLUMNS: Final = (
    "practitioner_id",
    "facility_id",
    "room_id",
    "starts_at",
    "ends_at",
    "buffer_before",
    "buffer_after",
)
"""What is read of a session near a slot."""


def place_of_slot(
    uow: UnitOfWork,
    places: PlaceLocks,
    *,
    practitioner_id: UUID,
    facility_id: UUID,
    room_id: UUID | None,
    late: bool = False,
) -> SlotPlace:
    """Check that practitioner, facility and room, which are locked, fit together.

    ``late``: for a session that took place, of which nothing that has ended since is refused.
    Raises Rejected: 404 for a facility that the caller may not see, 400 with the field
    for a practitioner or a room that does not work there.
    """
    facility = place_get(uow.actor, facility_id)
    practitioner = places.practitioners.get(practitioner_id)
    if practitioner is None or not (practitioner.is_active or late):
        raise invalid("practitioner_id", "There is no such practitioner at work here.")
    if practitioner_id not in colleagues_at(facility_id) and not late:
        raise invalid("practitioner_id", "This practitioner does not work at that facility.")
    room = places.rooms.get(room_id) if room_id else None
    if room_id and (room is None or room.facility_id != facility_id):
        raise invalid("room_id", "There is no such room in use at that facility.")
    if room is not None and not (room.is_active or late):
        raise invalid("room_id", "There is no such room in use at that facility.")
    if not (facility.is_active or late):
        raise invalid("facility_id", "This facility is closed for good.")
    ended = _ended(practitioner, facility, room) if late else ()
    return SlotPlace(practitioner, facility, room_id, tuple(ended))


def _ended(practitioner: Practitioner, facility: Place, room: Room | None) -> Iterator[EndedPlace]:
    """What of a place is there no more, each with the facility's day on which it ended."""

    def on(what: Ended, row: RevisionedModel) -> EndedPlace:
        since = out_of_use_since(row)
        return EndedPlace(what, None if since is None else local_day(since, facility.zone))

    if not facility.is_active:
        yield on(Ended.FACILITY, Facility.objects.get(pk=facility.pk))
    if not practitioner.is_active:
        yield on(Ended.PRACTITIONER, practitioner)
    elif practitioner.pk not in colleagues_at(facility.pk):
        yield EndedPlace(Ended.ELSEWHERE)
    if room is not None and not room.is_active:
        yield on(Ended.ROOM, room)


def find_conflicts(
    client_id: UUID | None, slot: Slot, session_id: UUID | None, *, with_classes: bool = True
) -> tuple[SchedulingConflict, ...]:
    """The other sessions and classes that hold the slot's time, and what each of them takes.

    The places of one class share its practitioner and its room, and nothing else. Without a
    client: a class's own time.
    """
    places = _places_of(slot)
    same = places if client_id is None else places | Q(client_id=client_id)
    found: list[Session | ExerciseClass] = [
        row
        for row in holding_time(slot.starts_at, slot.ends_at).filter(same)
        if row.pk != session_id
    ]
    if with_classes:
        classes = classes_holding(slot.starts_at, slot.ends_at).filter(places)
        found += [row for row in classes if row.pk != slot.class_id]
    return tuple(conflict for row in found for conflict in _conflicts_of(row, client_id, slot))


def named_conflicts(
    actor: Actor, conflicts: Iterable[SchedulingConflict]
) -> tuple[SchedulingConflict, ...]:
    """The same, with the client of each session that the caller may see; of sessions at other
    facilities and of classes only the time is told."""
    found = tuple(conflicts)
    if not found:
        return ()
    rows = session_list(actor).filter(pk__in={one.session_id for one in found})
    names = {row.pk: str(row.client_name) for row in with_display_names(rows)}  # type: ignore[attr-defined]
    return tuple(replace(one, client_name=names.get(one.session_id)) for one in found)


def near_sessions(slot: Slot, session_id: UUID | None) -> list[Neighbour]:
    """The other sessions and classes of the slot's practitioner or in its room whose held time, or
    the way from or to which, could reach that of the slot, but its own class. A class stands for
    the places in it, whether or not anybody has one."""
    places = _places_of(slot)
    reach = timedelta(minutes=max(2 * LONGEST_BUFFER, LONGEST_TRAVEL))
    begin, end = slot.starts_at - reach, slot.ends_at + reach
    rows = holding_time(begin, end).filter(places, class_id=None).only(*_COLUMNS)
    alone = [row for row in rows if row.pk != session_id]
    classes = [row for row in classes_holding(begin, end).filter(places) if row.pk != slot.class_id]
    return [
        *(_near(row, Buffers(row.buffer_before, row.buffer_after)) for row in alone),
        *(_near(row, NO_BUFFERS) for row in classes),
    ]


def room_uses(slot: Slot, session_id: UUID | None) -> list[RoomUse]:
    """The rooms of a slot's facility as other sessions and classes hold them then; the places in a
    class hold its one room. Without a session: a class's own time."""
    begin, end, there = slot.starts_at, slot.ends_at, Q(facility_id=slot.facility_id)
    alone = holding_time(begin, end).filter(there, class_id=None)
    classes = classes_holding(begin, end).filter(there)
    columns = ("pk", "room_id", "starts_at", "ends_at")
    return [
        RoomUse(*use)
        for rows, own in ((alone, session_id), (classes, slot.class_id))
        for pk, *use in rows.values_list(*columns)
        if pk != own
    ]


def _places_of(slot: Slot) -> Q:
    """What holds the slot's practitioner, or its room where it has one."""
    same = Q(practitioner_id=slot.practitioner_id)
    return same if slot.room_id is None else same | Q(room_id=slot.room_id)


def _near(row: Session | ExerciseClass, buffers: Buffers) -> Neighbour:
    return Neighbour(
        session_id=row.pk,
        practitioner_id=row.practitioner_id,
        facility_id=row.facility_id,
        room_id=row.room_id,
        starts_at=row.starts_at,
        ends_at=row.ends_at,
        buffers=buffers,
    )


def _conflicts_of(
    row: Session | ExerciseClass, client_id: UUID | None, slot: Slot
) -> Iterator[SchedulingConflict]:
    beside = isinstance(row, Session) and together(row.class_id, slot.class_id)
    kinds = {
        ConflictWith.PRACTITIONER: row.practitioner_id == slot.practitioner_id and not beside,
        ConflictWith.ROOM: slot.room_id is not None and row.room_id == slot.room_id and not beside,
        ConflictWith.CLIENT: isinstance(row, Session) and row.client_id == client_id,
    }
    for kind, taken in kinds.items():
        if taken:
            yield SchedulingConflict(kind, row.pk, row.starts_at, row.ends_at)


@contextmanager
def conflicts_refused(slot: Slot, session_id: UUID, todo: str = CHOOSE_ANOTHER) -> Iterator[None]:
    """Turn the refusal of the database's own guard into the refusal of a taken time, which says
    what is to be done."""
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
            todo,
        ) from error
