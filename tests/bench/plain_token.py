"""The framework's own token, behind which the plain endpoint stands."""

from __future__ import annotations

from rest_framework.authtoken.models import Token

from practice.people_and_places.models.staff import Staff


def build() -> str:
    """A token of one of the staff."""
    staff = Staff.objects.order_by("username").first()
    assert staff is not None
    return str(Token.objects.get_or_create(user=staff)[0].key)
