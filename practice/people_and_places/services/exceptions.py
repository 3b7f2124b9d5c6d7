"""What departs from the weekly hours: recorded, lifted and taken back. One function each.

The locks are those that a booking takes: either it sees what is recorded, or what is recorded
finds the booking.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any, TypeVar
from uuid import UUID

from practice.core.decisions import Actor
from practice.core.localtime import EnteredTime, local_day
from practice.core.reasons import Rejected, invalid
from practice.core.terms import AbsenceKind, Role
from practice.people_and_places.locks import PlaceLocks
from practice.people_and_places.models.exceptions import (
    Absence,
    Closure,
    ExtraHours,
    HolidayOpening,
    TimeOff,
)
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.public_holidays import public_holiday
from practice.people_and_places.selectors.exceptions import (
    absence_get,
    closure_get,
    extra_hours_get,
    holiday_opening_get,
    zones_of,
)
from practice.people_and_places.selectors.facilities import facility_get, practitioner_get
from practice.people_and_places.services.facilities import check_hours
from practice.policy import change_log as history
from practice.policy import hooks
from practice.work.unit_of_work import UnitOfWork

Off = TypeVar("Off", bound=TimeOff)


@dataclass(frozen=True, kw_only=True)
class TimeOffRequest:
    """Whole local days (``last_day`` left out: the one day), or from one time to another."""

    first_day: date | None = None
    last_day: date | None = None
    starts_at: EnteredTime | None = None
    ends_at: EnteredTime | None = None

    def columns(self, zone: str) -> dict[str, Any]:
        """The columns of a row, local times read on a clock. Raises Rejected 400."""
        if self.starts_at is not None or self.ends_at is not None:
            return self._part(zone)
        if self.first_day is None:
            raise invalid("first_day", "Give the first day, or from when to when.")
        last_day = self.last_day or self.first_day
        if last_day < self.first_day:
            raise invalid("last_day", "The last day is not before the first.")
        return {"first_day": self.first_day, "last_day": last_day}

    def _part(self, zone: str) -> dict[str, Any]:
        if self.first_day is not None or self.last_day is not None:
            raise invalid("first_day", "Give either whole days or from when to when.")
        if self.starts_at is None or self.ends_at is None:
            raise invalid("ends_at", "Give both starts_at and ends_at.")
        starts_at, ends_at = self.starts_at.at(zone), self.ends_at.at(zone)
        if ends_at <= starts_at:
            raise invalid("ends_at", "The end must be after the start.")
        return {
            "first_day": local_day(starts_at, zone),
            "last_day": local_day(ends_at, zone),
            "starts_at": starts_at,
            "ends_at": ends_at,
        }


@dataclass(frozen=True, kw_only=True)
class ClosureRequest:
    """A facility is to be closed for a time."""

    facility_id: UUID
    when: TimeOffRequest
    reason: str


@dataclass(frozen=True, kw_only=True)
class AbsenceRequest:
    """A practitioner will not be there for a time."""

    practitioner_id: UUID
    when: TimeOffRequest
    kind: AbsenceKind
    note: str = ""


def lock_bookings_at(uow: UnitOfWork, facility_id: UUID) -> None:
    """Let nobody book at a facility meanwhile: whoever does locks a practitioner who works there,
    so all of them are locked."""
    there = Practitioner.objects.filter(facilities=facility_id).values_list("pk", flat=True)
    uow.lock(places=PlaceLocks(there))


def closure_add(uow: UnitOfWork, *, command: ClosureRequest) -> Closure:
    """Close a facility for a time. Raises Rejected 409 where it is closed for it already."""
    facility = facility_get(uow.actor, command.facility_id)
    lock_bookings_at(uow, facility.pk)
    values = {**command.when.columns(facility.zone), "reason": command.reason}
    return _add(uow, Closure(facility=facility), values, {"facility_id": facility.pk})


def absence_add(uow: UnitOfWork, *, command: AbsenceRequest) -> Absence:
    """Record that a practitioner is absent. A practitioner records their own alone (403); local
    times are read on the clock of the facilities where they work. Raises Rejected 409 where the
    same is on record already."""
    check_own(uow.actor, command.practitioner_id)
    practitioner = practitioner_get(uow.actor, command.practitioner_id)
    uow.lock(places=PlaceLocks([practitioner.pk]))
    zone = _one_zone(command.when, practitioner.pk)
    values = {**command.when.columns(zone), "kind": command.kind, "note": command.note}
    return _add(uow, Absence(practitioner=practitioner), values, {"practitioner": practitioner})


def check_own(actor: Actor, practitioner_id: UUID) -> None:
    """Raises Rejected 403 for a practitioner who speaks of another."""
    if actor.role is Role.PRACTITIONER and actor.practitioner_id != practitioner_id:
        detail = "A practitioner records their own absence; the front desk records others'."
        raise Rejected("not_your_own", detail, status=403)


def _one_zone(when: TimeOffRequest, practitioner_id: UUID) -> str:
    zones = zones_of(practitioner_id)
    typed = any(one is not None and one.local is not None for one in (when.starts_at, when.ends_at))
    if typed and len(zones) > 1:
        detail = "They work on several clocks: give the times with their offset."
        raise invalid("starts_at", detail, "several_zones")
    return zones[0]


def _add(uow: UnitOfWork, row: Off, values: dict[str, Any], whose: Mapping[str, Any]) -> Off:
    span = {"starts_at": None, "ends_at": None, **values}
    same = {name: span[name] for name in ("first_day", "last_day", "starts_at", "ends_at")}
    if type(row)._default_manager.filter(lifted_at=None, **whose, **same).exists():
        raise Rejected("already_recorded", "The same time is on record already.")
    values |= {"recorded_by": uow.actor.id, "recorded_at": _now(uow)}
    history.create_row(uow, row, values, "time")
    hooks.notify_settings_changed(uow)
    return row


def closure_lift(
    uow: UnitOfWork, *, closure_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Closure:
    """The facility is open again; ``reason``: why. Raises Rejected 409 where it was lifted."""
    closure_get(uow.actor, closure_id)
    return _lift(uow, history.lock_row(Closure, closure_id, "closure", if_match=if_match), command)


def absence_lift(
    uow: UnitOfWork, *, absence_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Absence:
    """The practitioner is there after all; ``reason``: why."""
    absence_get(uow.actor, absence_id)
    return _lift(uow, history.lock_row(Absence, absence_id, "absence", if_match=if_match), command)


def _now(uow: UnitOfWork) -> datetime:
    """As the row will be read again: its history and its seal compare the two."""
    return uow.now.astimezone(UTC)


def _lift(uow: UnitOfWork, row: Off, command: Mapping[str, Any]) -> Off:
    if row.lifted_at is not None:
        raise Rejected("lifted_already", f"It was lifted already: {row.lifted_reason}")
    values = {
        "lifted_by": uow.actor.id,
        "lifted_at": _now(uow),
        "lifted_reason": command["reason"],
    }
    history.update_row(uow, row, values, "time")
    hooks.notify_settings_changed(uow)
    return row


def extra_hours_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> ExtraHours:
    """A practitioner works at a facility on one day beyond the weekly hours. Raises Rejected: 400
    for a practitioner who does not work there or an end before the start, 409 where hours that
    begin then are on record."""
    facility = facility_get(uow.actor, command["facility_id"])
    practitioner = practitioner_get(uow.actor, command["practitioner_id"])
    if not practitioner.facilities.filter(pk=facility.pk).exists():
        raise invalid("practitioner_id", "This practitioner does not work at that facility.")
    check_hours([{**command, "weekday": command["day"].isoweekday()}], "starts", "ends", "ends")
    uow.lock(places=PlaceLocks([practitioner.pk]))
    values = {**command, "recorded_by": uow.actor.id, "recorded_at": _now(uow)}
    row = history.create_row(uow, ExtraHours(), values, "extra hours at that start")
    hooks.notify_settings_changed(uow)
    return row


def extra_hours_remove(uow: UnitOfWork, *, extra_hours_id: UUID) -> None:
    """Take extra hours back; what is booked in them stays and is outside the hours then."""
    extra_hours_get(uow.actor, extra_hours_id)
    history.delete_row(uow, history.lock_row(ExtraHours, extra_hours_id, "extra hours"))
    hooks.notify_settings_changed(uow)


def holiday_opening_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> HolidayOpening:
    """A facility is open on one public holiday. Raises Rejected: 400 for a day that is none
    there, 409 where it is on record."""
    facility = facility_get(uow.actor, command["facility_id"])
    if public_holiday(facility.jurisdiction, command["day"]) is None:
        detail = f"{command['day']} is no public holiday of {facility.jurisdiction}."
        raise invalid("day", detail)
    values = {**command, "recorded_by": uow.actor.id, "recorded_at": _now(uow)}
    return history.create_row(uow, HolidayOpening(), values, "opening on that day")


def holiday_opening_remove(uow: UnitOfWork, *, holiday_opening_id: UUID) -> None:
    """The facility follows the practice's rule on that holiday again."""
    lock_bookings_at(uow, holiday_opening_get(uow.actor, holiday_opening_id).facility_id)
    row = history.lock_row(HolidayOpening, holiday_opening_id, "opening")
    history.delete_row(uow, row)
