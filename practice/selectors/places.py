"""Which places and people a member of staff may see.

Desk and practitioners see the facilities they are assigned to; owner and billing all.
"""

from __future__ import annotations

from uuid import UUID

from django.db.models import Q, QuerySet

from practice.domain.decisions import Actor
from practice.domain.reasons import not_found
from practice.domain.terms import Role
from practice.models import Facility, Practitioner, Room


def visible_facilities(actor: Actor) -> QuerySet[Facility]:
    """The facilities that this member of staff may see."""
    if actor.role in (Role.OWNER, Role.BILLING):
        return Facility.objects.all()
    mine = Q(staff__id=actor.id)
    if actor.practitioner_id is not None:
        mine |= Q(practitioners__id=actor.practitioner_id)
    return Facility.objects.filter(pk__in=Facility.objects.filter(mine).values("pk"))


def visible_facility_ids(actor: Actor) -> frozenset[UUID] | None:
    """Their ids; None means every facility."""
    if actor.role in (Role.OWNER, Role.BILLING):
        return None
    return frozenset(visible_facilities(actor).values_list("pk", flat=True))


def facility_get(actor: Actor, facility_id: UUID) -> Facility:
    """A facility that this member of staff may see. Raises Rejected 404."""
    facility = visible_facilities(actor).filter(pk=facility_id).first()
    if facility is None:
        raise not_found("facility")
    return facility


def rooms_visible(actor: Actor) -> QuerySet[Room]:
    """The rooms of the facilities that this member of staff may see."""
    return Room.objects.filter(facility__in=visible_facilities(actor).values("pk"))


def practitioners_visible(actor: Actor) -> QuerySet[Practitioner]:
    """The practitioners who work at a facility that this member of staff may see, and herself."""
    if actor.role in (Role.OWNER, Role.BILLING):
        return Practitioner.objects.all()
    there = Practitioner.facilities.through.objects.filter(
        facility__in=visible_facilities(actor).values("pk")
    )
    return Practitioner.objects.filter(
        Q(pk__in=there.values("practitioner_id")) | Q(pk=actor.practitioner_id)
    )
