"""The read table of series: one row for each, as it was booked."""

from __future__ import annotations

from django.db import models

from practice.work.models import ReadTable


class SessionSeries(ReadTable):
    """A series as it was booked. ``rule`` is an RRULE (RFC 5545) on the clock of ``zone``,
    ``refused`` its times that could not be booked; ``kind_id``: the practice's kind of session,
    by its name then, where it was named; ``overruled``: why they were to be where the place was
    closed or the practitioner absent."""

    practitioner_id = models.UUIDField()
    facility_id = models.UUIDField()
    room_id = models.UUIDField(null=True)
    starts_at = models.DateTimeField()
    zone = models.CharField(max_length=64)
    minutes = models.PositiveIntegerField()
    rule = models.TextField()
    purpose = models.CharField(max_length=32)
    requested_mode = models.CharField(max_length=32, default="")
    kind_id = models.UUIDField(null=True)
    kind_name = models.CharField(max_length=60, default="")
    overruled = models.TextField(default="")
    refused = models.JSONField(default=list)

    class Meta(ReadTable.Meta):
        abstract = False
