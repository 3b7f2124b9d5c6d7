"""Questions on the times that are held for evaluations."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.db.models import QuerySet

from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.people_and_places.selectors.facilities import at_visible_facilities
from practice.work.request_cache import memoize
from sessions.held_slots import models
from sessions.held_slots.domain.held_slot import HeldSlot


def held_slot_list(actor: Actor) -> QuerySet[models.HeldSlot]:
    """Those at facilities that the caller sees."""
    return at_visible_facilities(actor, models.HeldSlot.objects.all())


def held_slot_get(actor: Actor, held_slot_id: UUID) -> models.HeldSlot:
    """One of them. Raises Rejected 404."""
    return existing(held_slot_list(actor).filter(pk=held_slot_id).first(), "held slot")


def held_slots_at(facility_id: UUID) -> Sequence[HeldSlot]:
    """All at a facility, kept in the process for as long as no row of the practice changes."""
    return memoize(("held slots", facility_id), lambda: _held_slots_at(facility_id))


def _held_slots_at(facility_id: UUID) -> tuple[HeldSlot, ...]:
    rows = models.HeldSlot.objects.filter(facility_id=facility_id).order_by("id")
    return tuple(
        HeldSlot(
            id=row.pk,
            practitioner_id=row.practitioner_id,
            starts=row.starts,
            ends=row.ends,
            release_hours=row.release_hours,
            weekday=row.weekday,
            day=row.day,
        )
        for row in rows
    )
