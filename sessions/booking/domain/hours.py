"""Warnings of a slot outside the hours of its facility or practitioner. Pure."""

from __future__ import annotations

from practice.core.reasons import Reason
from sessions.booking.domain.commands import Slot
from sessions.calendar.domain.facility_calendar import FacilityCalendar


def hours_warnings(slot: Slot, calendar: FacilityCalendar) -> list[Reason]:
    """A warning where the practitioner does not work there then, and one where it is closed."""
    warnings: list[Reason] = []
    if not calendar.works(slot.practitioner_id, slot.starts_at, slot.ends_at):
        text = "The practitioner's working hours there do not cover this time."
        warnings.append(Reason(code="outside_working_hours", text=text, source="practice policy"))
    if not calendar.is_open(slot.starts_at, slot.ends_at):
        text, source = "The facility is closed then.", "the facility's opening hours"
        warnings.append(Reason(code="facility_closed", text=text, source=source))
    return warnings
