"""Questions on staff accounts."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from django.db.models import QuerySet

from practice.core.reasons import existing
from practice.core.terms import Role
from practice.people_and_places.models.staff import AccessToken, Staff


def count_active_owners() -> int:
    """How many owners can sign in."""
    return Staff.objects.filter(role=Role.OWNER, is_active=True).count()


def staff_list() -> QuerySet[Staff]:
    """Every account with its facilities, those of leavers too."""
    return Staff.objects.prefetch_related("facilities")


def staff_get(staff_id: UUID) -> Staff:
    """One account. Raises Rejected 404."""
    return existing(staff_list().filter(pk=staff_id).first(), "account")


def tokens_of(staff_id: UUID) -> QuerySet[AccessToken]:
    """The tokens of an account, revoked ones too."""
    return AccessToken.objects.filter(staff_id=staff_id)


def staff_names(ids: Iterable[UUID]) -> dict[UUID, str]:
    """The names of accounts, those of leavers too, by id."""
    return dict(Staff.objects.filter(pk__in=set(ids)).values_list("pk", "name"))
