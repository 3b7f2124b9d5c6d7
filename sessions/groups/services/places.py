"""Give a client a place in a class: a session of their own, beside those of the others."""

from __future__ import annotations

from dataclasses import dataclass, field
from uuid import UUID

from clients.identity.selectors import require_visible_client
from practice.core.terms import Mode
from practice.people_and_places.locks import PlaceLocks
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.domain.commands import Attendance
from sessions.booking.services.class_places import place_request
from sessions.booking.services.conflicts import place_of_slot
from sessions.booking.services.sessions import SessionCommandResult, book_decided, write
from sessions.calendar.domain.terms import SubmittedArrivalAnswers
from sessions.calendar.selectors.classes import class_get
from sessions.groups.domain.rules import class_changed
from sessions.groups.services.late import LatePlace, place_enter


@dataclass(frozen=True, kw_only=True)
class PlaceRequest:
    """A client who wants a place. ``requested_mode`` None: self-directed, as a class is.
    ``attendance`` and ``answers``: of a class that took place."""

    client_id: UUID
    requested_mode: Mode | None = None
    attendance: Attendance | None = None
    answers: SubmittedArrivalAnswers = field(default_factory=SubmittedArrivalAnswers)


def place_book(uow: UnitOfWork, *, class_id: UUID, command: PlaceRequest) -> SessionCommandResult:
    """Book a place as a session is booked, with the class's practitioner, room and time.

    Refuses with 409 a class that is full or called off, hands-on work, and what booking
    refuses; of a class that took place (``attendance``) what a late entry refuses. Under the
    lock on the class's practitioner, so that the last place is taken once.
    """
    seen = class_get(uow.actor, class_id)
    places = PlaceLocks([seen.practitioner_id], [seen.room_id])
    uow.lock(command.client_id, places=places)
    require_visible_client(uow.actor, command.client_id)
    row = class_get(uow.actor, class_id)
    if (row.practitioner_id, row.room_id) != (seen.practitioner_id, seen.room_id):
        raise class_changed()
    place = place_of_slot(
        uow,
        places,
        practitioner_id=row.practitioner_id,
        facility_id=row.facility_id,
        room_id=row.room_id,
        late=command.attendance is not None,
    )
    if command.attendance is not None:
        late = LatePlace(
            client_id=command.client_id,
            requested_mode=command.requested_mode,
            attendance=command.attendance,
            answers=command.answers,
        )
        return place_enter(uow, place, row, late)
    request = place_request(row, command.client_id, command.requested_mode)
    return write(uow, book_decided(uow, place, request))
