"""A slot and the one facility calendar: what refuses it, and what it is only warned of. Pure."""

from __future__ import annotations

from practice.core.reasons import Reason, Rejected
from sessions.booking.domain.commands import BookingFacts, Slot
from sessions.calendar.domain.facility_calendar import FacilityCalendar


def closed_reasons(slot: Slot, calendar: FacilityCalendar) -> tuple[Reason, ...]:
    """Why nothing takes place there then with that practitioner, whatever the weekly hours."""
    begin, end = slot.starts_at, slot.ends_at
    found = calendar.why_shut(begin, end), calendar.why_absent(slot.practitioner_id, begin, end)
    return tuple(one for one in found if one is not None)


def hours_warnings(slot: Slot, calendar: FacilityCalendar) -> list[Reason]:
    """A warning outside the practitioner's hours there, one outside the facility's, and one on a
    public holiday that is worked. What ``closed_reasons`` says is not said again."""
    warnings: list[Reason] = []
    begin, end = slot.starts_at, slot.ends_at
    absent = calendar.why_absent(slot.practitioner_id, begin, end)
    if absent is None and not calendar.works(slot.practitioner_id, begin, end):
        text = "The practitioner's working hours there do not cover this time."
        warnings.append(Reason(code="outside_working_hours", text=text, source="practice policy"))
    if calendar.why_shut(begin, end) is None and not calendar.within_opening_hours(begin, end):
        text, source = "The facility is closed then.", "the facility's opening hours"
        warnings.append(Reason(code="facility_closed", text=text, source=source))
    if (holiday := calendar.holiday_worked(slot.local_start.date())) is not None:
        warnings.append(holiday)
    return warnings


def check_open(facts: BookingFacts, overrule: str) -> None:
    """Raises Rejected 409 where the place is closed or the practitioner absent, unless someone
    says why it is to be all the same."""
    check_not_closed(facts.closed, overrule)


def check_not_closed(closed: tuple[Reason, ...], overrule: str) -> None:
    """The same for what is known to be closed."""
    if closed and not overrule.strip():
        told = " ".join(reason.text for reason in closed)
        detail = f"{told} Choose another time, or say in `overrule` why it is to be all the same."
        raise Rejected("closed_then", detail, reasons=closed)


def overruled_warnings(facts: BookingFacts, overruled: str) -> tuple[Reason, ...]:
    """What a booking against the calendar keeps: what stood against it, and why it is all the
    same."""
    if not overruled:
        return ()
    text = f"Booked all the same: {overruled}"
    return (*facts.closed, Reason(code="overruled", text=text, source="who booked it"))
