"""Sessions and classes near a slot of its practitioner or in its room: whose buffers it eats, and
from which or to which the way is too long. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from practice.core.localtime import zone_named
from practice.core.reasons import Reason
from sessions.booking.domain.commands import Slot
from sessions.calendar.domain.held_time import NO_BUFFERS, Buffers, held_time
from sessions.travel.domain.travel import (
    LONGEST_TRAVEL,
    TravelTimes,
    is_on_record,
    minutes_between,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbour:
    """Another session, or a class, that holds the practitioner or the room before or after a slot;
    ``session_id`` is its id."""

    session_id: UUID
    practitioner_id: UUID
    facility_id: UUID
    room_id: UUID | None
    starts_at: datetime
    ends_at: datetime
    buffers: Buffers = NO_BUFFERS


def buffer_warnings(slot: Slot, buffers: Buffers, neighbours: Iterable[Neighbour]) -> list[Reason]:
    """A warning for each neighbour whose held time overlaps that of the slot, and which of
    practitioner and room has less than the buffers between; a real overlap is a clash and no
    warning."""
    begin, end = held_time(slot.starts_at, slot.ends_at, buffers)
    found: list[Reason] = []
    for one in sorted(neighbours, key=lambda other: (other.starts_at, other.session_id)):
        held_from, held_until = held_time(one.starts_at, one.ends_at, one.buffers)
        clash = one.starts_at < slot.ends_at and slot.starts_at < one.ends_at
        if clash or not (held_from < end and begin < held_until):
            continue
        found.append(_eaten(slot, buffers, one))
    return found


def travel_warnings(
    slot: Slot, neighbours: Iterable[Neighbour], times: TravelTimes
) -> list[Reason]:
    """A warning for each session elsewhere from which, or to which, the practitioner cannot get
    in time; where nobody said how long it takes, for each within the longest travel."""
    found: list[Reason] = []
    for one in sorted(neighbours, key=lambda other: (other.starts_at, other.session_id)):
        clash = one.starts_at < slot.ends_at and slot.starts_at < one.ends_at
        if one.practitioner_id != slot.practitioner_id or clash:
            continue
        known = is_on_record(times, one.facility_id, slot.facility_id)
        way = minutes_between(times, one.facility_id, slot.facility_id)
        before = one.ends_at <= slot.starts_at
        gap = slot.starts_at - one.ends_at if before else one.starts_at - slot.ends_at
        if gap >= timedelta(minutes=way if known else LONGEST_TRAVEL):
            continue
        at = (one.ends_at if before else one.starts_at).astimezone(zone_named(slot.zone))
        there = f"at another facility {'until' if before else 'from'} {at:%H:%M}"
        free = gap // timedelta(minutes=1)
        text = (
            f"The practitioner is {there} and {way} minutes away: there are {free}."
            if known
            else f"The practitioner is {there}, {free} minutes apart, and no travel time between"
            " the two is on record: record it."
        )
        code = "travel" if known else "travel_unknown"
        found.append(Reason(code=code, text=text, source="the practice's travel times"))
    return found


def _eaten(slot: Slot, buffers: Buffers, one: Neighbour) -> Reason:
    before = one.ends_at <= slot.starts_at
    gap = slot.starts_at - one.ends_at if before else one.starts_at - slot.ends_at
    between = one.buffers.after + buffers.before if before else buffers.after + one.buffers.before
    at = (one.ends_at if before else one.starts_at).astimezone(zone_named(slot.zone))
    whose = "The practitioner" if one.practitioner_id == slot.practitioner_id else "The room"
    text = (
        f"{whose} has {gap // timedelta(minutes=1)} minutes to the session that"
        f" {'ends' if before else 'begins'} at {at:%H:%M}: {between} are kept between."
    )
    return Reason(code="buffer", text=text, source="the practice's kinds of session")
