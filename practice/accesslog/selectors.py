"""Who read what, and who was refused."""

from __future__ import annotations

from django.db.models import QuerySet

from practice.accesslog.models import AccessEntry


def access_entries() -> QuerySet[AccessEntry]:
    """Every read and every refusal."""
    return AccessEntry.objects.all()
