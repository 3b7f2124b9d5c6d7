"""Read tables of what is measured on a client."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Reading(ReadTable):
    """One reading that counts. Degrees whole, pain 0 to 10."""

    session_id = models.UUIDField(null=True)
    movement = models.CharField(max_length=40)
    side = models.CharField(max_length=32)
    motion = models.CharField(max_length=32)
    degrees = models.SmallIntegerField()
    position = models.CharField(max_length=32)
    instrument = models.CharField(max_length=32)
    rater_id = models.UUIDField()
    pain = models.SmallIntegerField(null=True)
    assisted = models.BooleanField()
    confirmed_unlikely = models.BooleanField()
    new_pain = models.BooleanField()
    new_swelling = models.BooleanField()
    explanation = models.TextField()
    taken_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["client_id", "taken_at", "recorded_at", "version"], name="reading_by_time"
            ),
        ]


class Goal(ReadTable):
    """A goal; ``replaced_by`` names the one that took its place."""

    kind = models.CharField(max_length=32)
    movement = models.CharField(max_length=40)
    side = models.CharField(max_length=32)
    degrees = models.SmallIntegerField(null=True)
    finding = models.CharField(max_length=40)
    pain_at_most = models.SmallIntegerField(null=True)
    basis = models.CharField(max_length=20)
    source = models.TextField()
    edition = models.CharField(max_length=80)
    reason = models.TextField()
    reading_id = models.UUIDField(null=True)
    set_at = models.DateTimeField()
    replaced_by = models.UUIDField(null=True)

    class Meta(ReadTable.Meta):
        abstract = False


class PostureFinding(ReadTable):
    """One posture finding with its severity that day."""

    session_id = models.UUIDField(null=True)
    finding = models.CharField(max_length=40)
    description = models.TextField()
    side = models.CharField(max_length=32)
    severity = models.CharField(max_length=32)
    observer_id = models.UUIDField()
    observed_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        abstract = False


class Circumferences(ReadTable):
    """Circumferences of both arms in cm and the volumes they make in mL."""

    session_id = models.UUIDField(null=True)
    interval_cm = models.FloatField()
    left = models.JSONField()
    right = models.JSONField()
    left_ml = models.FloatField()
    right_ml = models.FloatField()
    baseline = models.BooleanField()
    new_heaviness = models.BooleanField()
    stage = models.CharField(max_length=4)
    stage_side = models.CharField(max_length=32)
    rater_id = models.UUIDField()
    taken_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        abstract = False
