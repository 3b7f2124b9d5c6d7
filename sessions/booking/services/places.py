"""Where a session may be: a practitioner, a facility and a room that fit together."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from practice.core.terms import Credential
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.selectors.kept import Place
from sessions.booking.domain.commands import Slot
from sessions.booking.domain.late_entry import EndedPlace


class SlotPlace(NamedTuple):
    """Who works where, and in which room: checked to fit together. ``ended``: what of it is there
    no more, for a session that is entered late."""

    practitioner: Practitioner
    facility: Place
    room_id: UUID | None
    ended: tuple[EndedPlace, ...] = ()

    def slot(self, starts_at: datetime, ends_at: datetime, class_id: UUID | None = None) -> Slot:
        """A time with this practitioner at this place; ``class_id``: as a place in a class."""
        return Slot(
            practitioner_id=self.practitioner.pk,
            credential=Credential(self.practitioner.credential),
            facility_id=self.facility.pk,
            room_id=self.room_id,
            starts_at=starts_at,
            ends_at=ends_at,
            zone=self.facility.zone,
            class_id=class_id,
        )
