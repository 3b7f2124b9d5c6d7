"""At which facilities a client is known: the first is the one they were registered at."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from uuid import UUID

from django.db.models import QuerySet

from practice.core.decisions import Actor
from practice.core.reasons import invalid
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.selectors.facilities import visible_facilities
from practice.policy.selectors import practice_get


def named_places(actor: Actor, wanted: Iterable[UUID]) -> list[Facility]:
    """The facilities in the order in which they were named. Raises Rejected 400 for one that
    the caller does not see, and where none is named."""
    asked = list(dict.fromkeys(wanted))
    found = _active(actor).in_bulk(asked)
    if len(found) != len(asked):
        raise invalid("facility_ids", "One of these is no facility that you see.")
    return _some([found[one] for one in asked])


def own_places(actor: Actor) -> list[Facility]:
    """The facilities of whoever registers, the one that they were assigned to first in front.

    Who sees every facility is assigned to none: those in the practice's zone come first, then
    by name. Raises Rejected 400 for someone who works nowhere.
    """
    places = list(_active(actor).order_by("name"))
    if actor.sees_all_facilities:
        zone = practice_get().zone
        return _some(sorted(places, key=lambda place: place.zone != zone))
    turn = {place: number for number, place in reversed([*enumerate(_assigned(actor))])}
    return _some(sorted(places, key=lambda place: turn[place.pk]))


def with_unseen(
    before: Sequence[UUID], new: Sequence[UUID], seen: Collection[UUID]
) -> tuple[UUID, ...]:
    """The new facilities and those that the caller does not see, which stay.

    Where the client was registered at one of those, that one stays the first.
    """
    kept = [one for one in before if one not in seen]
    first = (kept, new) if kept and before[0] == kept[0] else (new, kept)
    return tuple(dict.fromkeys([*first[0], *first[1]]))


def _active(actor: Actor) -> QuerySet[Facility]:
    return visible_facilities(actor).filter(is_active=True)


def _assigned(actor: Actor) -> list[UUID]:
    """The facilities of an account and its practitioner, in the order of their assignment."""
    of_account = Staff.facilities.through.objects.filter(staff_id=actor.id).order_by("pk")
    found = list(of_account.values_list("facility_id", flat=True))
    if actor.practitioner_id is not None:
        of_person = Practitioner.facilities.through.objects.filter(
            practitioner_id=actor.practitioner_id
        )
        found += of_person.order_by("pk").values_list("facility_id", flat=True)
    return found


def _some(places: list[Facility]) -> list[Facility]:
    if not places:
        raise invalid("facility_ids", "Name at least one facility where the client is seen.")
    return places
