"""Which places and people a member of staff may see.

Desk and practitioners see the facilities they are assigned to; owner and billing all.
"""

from __future__ import annotations

from typing import TypeVar
from uuid import UUID

from django.db.models import Model, Q, QuerySet

from practice.core.decisions import Actor
from practice.core.reasons import existing
from practice.core.terms import Role
from practice.people_and_places.models.facilities import Facility, FacilityRule, Room
from practice.people_and_places.models.practitioners import Practitioner, Supervision
from practice.people_and_places.models.staff import Staff
from practice.work.request_cache import memoize

M = TypeVar("M", bound=Model)


def visible_facilities(actor: Actor) -> QuerySet[Facility]:
    """The facilities that this member of staff may see."""
    if actor.sees_all_facilities:
        return Facility.objects.all()
    mine = Q(staff__id=actor.id)
    if actor.practitioner_id is not None:
        mine |= Q(practitioners__id=actor.practitioner_id)
    return Facility.objects.filter(pk__in=Facility.objects.filter(mine).values("pk"))


def facilities_of_account(staff: Staff) -> QuerySet[Facility]:
    """The facilities whose rows an account sees, by name."""
    actor = Actor(id=staff.pk, role=Role(staff.role), practitioner_id=staff.practitioner_id)
    return visible_facilities(actor).order_by("name")


def visible_facility_ids(actor: Actor) -> frozenset[UUID] | None:
    """Their ids; None means every facility."""
    if actor.sees_all_facilities:
        return None
    return memoize(
        ("visible facilities", actor.id, actor.practitioner_id),
        lambda: frozenset(visible_facilities(actor).values_list("pk", flat=True)),
    )


def at_visible_facilities(
    actor: Actor, rows: QuerySet[M], *, bound_to_none: bool = False
) -> QuerySet[M]:
    """The rows whose ``facility_id`` is one that this member of staff may see; with
    ``bound_to_none`` also those without a facility."""
    places = visible_facility_ids(actor)
    if places is None:
        return rows
    there = Q(facility_id__in=places)
    return rows.filter(there | Q(facility_id=None) if bound_to_none else there)


def facility_get(actor: Actor, facility_id: UUID) -> Facility:
    """A facility that this member of staff may see. Raises Rejected 404."""
    return existing(visible_facilities(actor).filter(pk=facility_id).first(), "facility")


def visible_rooms(actor: Actor) -> QuerySet[Room]:
    """The rooms of the facilities that this member of staff may see."""
    return Room.objects.filter(facility__in=visible_facilities(actor).values("pk"))


def room_get(actor: Actor, room_id: UUID) -> Room:
    """A room that this member of staff may see. Raises Rejected 404."""
    return existing(visible_rooms(actor).filter(pk=room_id).first(), "room")


def visible_supervisions(actor: Actor) -> QuerySet[Supervision]:
    """The supervisions at the facilities that this member of staff may see."""
    return Supervision.objects.filter(facility__in=visible_facilities(actor).values("pk"))


def supervision_get(actor: Actor, supervision_id: UUID) -> Supervision:
    """One of them. Raises Rejected 404."""
    return existing(visible_supervisions(actor).filter(pk=supervision_id).first(), "supervision")


def practitioner_get(actor: Actor, practitioner_id: UUID) -> Practitioner:
    """A practitioner that this member of staff may see. Raises Rejected 404."""
    return existing(visible_practitioners(actor).filter(pk=practitioner_id).first(), "practitioner")


def visible_practitioners(actor: Actor) -> QuerySet[Practitioner]:
    """The practitioners who work at a facility that this member of staff may see, and the
    practitioner whose account it is."""
    if actor.sees_all_facilities:
        return Practitioner.objects.all()
    there = Practitioner.facilities.through.objects.filter(
        facility__in=visible_facilities(actor).values("pk")
    )
    return Practitioner.objects.filter(
        Q(pk__in=there.values("practitioner_id")) | Q(pk=actor.practitioner_id)
    )


def facility_rules(facility_id: UUID) -> QuerySet[FacilityRule]:
    """What a facility says beyond the law."""
    return FacilityRule.objects.filter(facility_id=facility_id).order_by(
        "activity", "technique", "id"
    )
