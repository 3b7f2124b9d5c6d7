"""What stands in a client's record in this app. Consent, history and preference have one
row each, whose ``id`` is that of the client."""

from __future__ import annotations

from django.db import models

from practice.work.models import ReadTable


class HealthHistory(ReadTable):
    """The reviewed history and the reports that wait for review."""

    status = models.CharField(max_length=32)
    reviewed = models.JSONField(null=True)
    review_id = models.UUIDField(null=True)
    reviewed_at = models.DateTimeField(null=True)
    reviewed_by = models.UUIDField(null=True)
    reports = models.JSONField(default=list)

    class Meta(ReadTable.Meta):
        abstract = False
