"""Papers that are waited for: who was asked for what, and where each stands."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Paper(ReadTable):
    """A paper that the practice asked somebody for; ``paper`` is all that is on record of it."""

    kind = models.CharField(max_length=32)
    status = models.CharField(max_length=32)
    outcome = models.CharField(max_length=32, default="")
    asked_on = models.DateField()
    needed_by = models.DateField()
    expires_on = models.DateField(null=True)
    sent_on = models.DateField(null=True)
    reminded_on = models.DateField(null=True)
    answered_on = models.DateField(null=True)
    zone = models.CharField(max_length=64)
    changed_at = models.DateTimeField()
    paper = models.JSONField(default=dict)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["needed_by", "id"], name="paper_by_need"),
            models.Index(fields=["status", "needed_by", "id"], name="paper_by_status"),
            models.Index(fields=["expires_on", "id"], name="paper_by_end"),
        ]
