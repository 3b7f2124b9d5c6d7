"""When, where and with whom a class is, as its row keeps it."""

from __future__ import annotations

from sessions.booking.domain.commands import Slot


def slot_columns(slot: Slot) -> dict[str, object]:
    """The columns of a class in a slot."""
    return {
        "practitioner_id": slot.practitioner_id,
        "facility_id": slot.facility_id,
        "room_id": slot.room_id,
        "starts_at": slot.starts_at,
        "ends_at": slot.ends_at,
        "local_date": slot.local_start.date(),
        "zone": slot.zone,
    }
