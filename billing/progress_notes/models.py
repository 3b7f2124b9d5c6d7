"""Read tables of progress notes: those on record, and the treatment days that they cover."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class ProgressNote(ReadTable):
    """A progress note that a clinician wrote; its period ends with ``covers_until``. ``in_error``:
    why there was none, empty where it stands."""

    discipline = models.CharField(max_length=32)
    written_on = models.DateField()
    covers_until = models.DateField()
    author_id = models.UUIDField()
    credential = models.CharField(max_length=40)
    kept_as = models.CharField(max_length=32, default="")
    kept_where = models.TextField(default="")
    in_error = models.TextField(default="")
    recorded_at = models.DateTimeField(null=True)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["client_id", "-covers_until"], name="progress_note_by_client"),
        ]


class TreatmentPeriod(ReadTable):
    """A client's treatment days in one discipline, and the running period: those that no progress
    note covers. ``days`` and ``covered`` (last days of periods, by the id of the note) are of all
    time; ``begins_on`` and ``last_day`` are null where every day is covered."""

    discipline = models.CharField(max_length=32)
    days = models.JSONField(default=list)
    covered = models.JSONField(default=dict)
    begins_on = models.DateField(null=True)
    last_day = models.DateField(null=True)
    day_count = models.PositiveIntegerField(default=0)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["begins_on", "id"],
                name="treatment_period_running",
                condition=models.Q(begins_on__isnull=False),
            ),
        ]
