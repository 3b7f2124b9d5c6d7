"""A place in a class, as it is asked for: by the desk, or off the waiting list."""

from __future__ import annotations

from uuid import UUID

from practice.core.localtime import EnteredTime
from practice.core.terms import Mode
from sessions.booking.services.requests import BookRequest, RequestedTime
from sessions.calendar.models import ExerciseClass


def place_request(
    row: ExerciseClass, client_id: UUID, requested_mode: Mode | None = None
) -> BookRequest:
    """The booking of a place, with the class's practitioner, room and time; self-directed where
    nothing is said, as a class is."""
    return BookRequest(
        client_id=client_id,
        practitioner_id=row.practitioner_id,
        facility_id=row.facility_id,
        room_id=row.room_id,
        when=time_of(row),
        requested_mode=requested_mode or Mode.SELF_DIRECTED,
        class_id=row.pk,
        overrule=row.overruled,
    )


def time_of(row: ExerciseClass) -> RequestedTime:
    """When a class is, as a session asks for it."""
    return RequestedTime(
        starts_at=EnteredTime(instant=row.starts_at), ends_at=EnteredTime(instant=row.ends_at)
    )
