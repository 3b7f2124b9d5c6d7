"""Read tables of treatment goals and of what was said of home exercise."""

from __future__ import annotations

from django.db import models

from practice.work.models import ReadTable


class TreatmentGoal(ReadTable):
    """A treatment goal; ``goal`` is all that is on record of it."""

    number = models.PositiveSmallIntegerField()
    status = models.CharField(max_length=32)
    set_on = models.DateField()
    target_on = models.DateField(null=True)
    reviewed_on = models.DateField(null=True)
    goal = models.JSONField(default=dict)

    class Meta(ReadTable.Meta):
        abstract = False


class HomeExerciseReport(ReadTable):
    """What the client said of a home exercise for some days."""

    home_exercise_id = models.UUIDField()
    from_day = models.DateField()
    to_day = models.DateField()
    followed = models.CharField(max_length=32)
    times = models.PositiveIntegerField(null=True)
    words = models.TextField(default="")
    session_id = models.UUIDField(null=True)
    reported_by = models.UUIDField()
    recorded_at = models.DateTimeField()
    in_error = models.TextField(default="")

    class Meta(ReadTable.Meta):
        abstract = False
