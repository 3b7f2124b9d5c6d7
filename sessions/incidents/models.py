"""The read table of safety incidents: one row for each, with what was done about it."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Incident(ReadTable):
    """A safety incident; ``incident`` is all that is on record of it.

    ``call_on``: the day on which to call the client next, null where nobody is to;
    ``call_asked_at``: when that was asked.
    """

    kind = models.CharField(max_length=32)
    status = models.CharField(max_length=32)
    happened_at = models.DateTimeField()
    local_date = models.DateField()
    zone = models.CharField(max_length=64)
    facility_id = models.UUIDField(null=True)
    session_id = models.UUIDField(null=True)
    practitioner_id = models.UUIDField(null=True)
    reported_at = models.DateTimeField()
    reported_by = models.UUIDField()
    call_on = models.DateField(null=True)
    call_asked_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True)
    changed_at = models.DateTimeField()
    incident = models.JSONField(default=dict)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["-happened_at", "id"], name="incident_by_time"),
            models.Index(
                fields=["-happened_at", "id"],
                name="incident_open",
                condition=models.Q(status="open"),
            ),
            models.Index(
                fields=["call_on", "id"],
                name="incident_to_call",
                condition=models.Q(call_on__isnull=False),
            ),
        ]
