"""Which closures, absences and extra hours a member of staff may see; a facility's holidays."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import QuerySet

from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.core.terms import Role
from practice.people_and_places.models.exceptions import (
    Absence,
    Closure,
    ExtraHours,
    HolidayOpening,
)
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.public_holidays import public_holiday
from practice.people_and_places.selectors.facilities import (
    at_visible_facilities,
    visible_practitioners,
)
from practice.policy.models import PRACTICE_ID, Practice


@dataclass(frozen=True)
class Holiday:
    """A public holiday of a facility. ``opening_id``: what opens the facility on it, or None."""

    day: date
    name: str
    closed: bool
    opening_id: UUID | None


def closures(actor: Actor) -> QuerySet[Closure]:
    """Those of the facilities that they see."""
    return at_visible_facilities(actor, Closure.objects.all())


def closure_get(actor: Actor, closure_id: UUID) -> Closure:
    """One of them. Raises Rejected 404."""
    return existing(closures(actor).filter(pk=closure_id).first(), "closure")


def absences(actor: Actor) -> QuerySet[Absence]:
    """Those of the practitioners whom they see; to a practitioner their own: why a colleague is
    absent is between that colleague and who plans."""
    if actor.role is Role.PRACTITIONER:
        own = actor.practitioner_id
        return Absence.objects.filter(practitioner_id=own) if own else Absence.objects.none()
    if actor.sees_all_facilities:
        return Absence.objects.all()
    return Absence.objects.filter(practitioner__in=visible_practitioners(actor).values("pk"))


def absence_get(actor: Actor, absence_id: UUID) -> Absence:
    """One of them. Raises Rejected 404."""
    return existing(absences(actor).filter(pk=absence_id).first(), "absence")


def extra_hours(actor: Actor) -> QuerySet[ExtraHours]:
    """Those at the facilities that they see."""
    return at_visible_facilities(actor, ExtraHours.objects.all())


def extra_hours_get(actor: Actor, extra_hours_id: UUID) -> ExtraHours:
    """One of them. Raises Rejected 404."""
    return existing(extra_hours(actor).filter(pk=extra_hours_id).first(), "extra hours")


def holiday_opening_get(actor: Actor, opening_id: UUID) -> HolidayOpening:
    """An opening at a facility that they see. Raises Rejected 404."""
    rows = at_visible_facilities(actor, HolidayOpening.objects.all())
    return existing(rows.filter(pk=opening_id).first(), "opening on a holiday")


def zones_of(practitioner_id: UUID) -> list[str]:
    """The zones of the facilities where a practitioner works; the practice's where there is
    none."""
    rows = Facility.objects.filter(practitioners=practitioner_id, is_active=True)
    found = sorted(set(rows.values_list("zone", flat=True)))
    return found or [Practice.objects.values_list("zone", flat=True).get(pk=PRACTICE_ID)]


def holidays_of(facility: Facility, first: date, last: date, *, closes: bool) -> Iterable[Holiday]:
    """The public holidays of a facility from a day to a day. ``closes``: the practice's rule."""
    rows = HolidayOpening.objects.filter(facility=facility, day__gte=first, day__lte=last)
    opened = dict(rows.values_list("day", "pk"))
    for number in range((last - first).days + 1):
        day = first + timedelta(days=number)
        if (name := public_holiday(facility.jurisdiction, day)) is not None:
            yield Holiday(day, name, closes and day not in opened, opened.get(day))
