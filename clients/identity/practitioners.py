"""Practitioners that a client names."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from practice.core.reasons import invalid
from practice.people_and_places.models.practitioners import Practitioner


def check_practitioners_exist(wanted: Iterable[UUID], field: str = "practitioner_ids") -> None:
    """Raises Rejected 400 for an id that is no practitioner."""
    asked = set(wanted)
    there = set(Practitioner.objects.filter(pk__in=asked).values_list("pk", flat=True))
    if asked - there:
        raise invalid(field, f"No practitioner has the id {min(asked - there)}.")


def credential_of(practitioner_id: UUID | None) -> str | None:
    """Under which credential a practitioner works; None for nobody who is one."""
    if practitioner_id is None:
        return None
    found = Practitioner.objects.filter(pk=practitioner_id).values_list("credential", flat=True)
    return found.first()
