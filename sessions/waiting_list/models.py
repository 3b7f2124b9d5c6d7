"""The read table of the waiting list: one row for each time that a client waits for."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class WaitingEntry(ReadTable):
    """What a client waits for, and what they were offered. ``earliest`` and ``latest`` are
    minutes after midnight; empty lists and null suit always. ``kind_id``: the practice's kind of
    session, by its name then, where it was named."""

    asked_at = models.DateTimeField()
    status = models.CharField(max_length=32)
    minutes = models.PositiveIntegerField()
    purpose = models.CharField(max_length=32)
    facility_ids = models.JSONField(default=list)
    weekdays = models.JSONField(default=list)
    earliest = models.PositiveIntegerField(null=True)
    latest = models.PositiveIntegerField(null=True)
    first_day = models.DateField(null=True)
    last_day = models.DateField(null=True)
    note = models.TextField(default="")
    kind_id = models.UUIDField(null=True)
    kind_name = models.CharField(max_length=60, default="")
    offers = models.JSONField(default=list)
    session_id = models.UUIDField(null=True)
    ended_reason = models.TextField(default="")

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["asked_at", "id"], name="waiting_by_time"),
            models.Index(
                fields=["asked_at", "id"],
                name="waiting_still",
                condition=models.Q(status="waiting"),
            ),
        ]
