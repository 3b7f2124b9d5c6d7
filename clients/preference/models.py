"""What stands in a client's record in this app. Consent, history and preference have one
row each, whose ``id`` is that of the client."""

from __future__ import annotations

from django.db import models

from practice.work.models import ReadTable


class Preference(ReadTable):
    """Whom the client prefers (empty scope: anyone) and the exceptions they agreed to."""

    scope = models.CharField(max_length=32, default="")
    gender = models.CharField(max_length=20, default="")
    practitioner_ids = models.JSONField(default=list)
    exceptions = models.JSONField(default=list)
    stated_at = models.DateTimeField(null=True)
    stated_recorded_at = models.DateTimeField(null=True)
    stated_version = models.PositiveIntegerField(default=0)

    class Meta(ReadTable.Meta):
        abstract = False
