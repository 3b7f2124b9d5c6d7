"""Questions on staff accounts."""

from __future__ import annotations

from practice.core.terms import Role
from practice.people_and_places.models.staff import Staff


def count_active_owners() -> int:
    """How many owners can sign in."""
    return Staff.objects.filter(role=Role.OWNER, is_active=True).count()
