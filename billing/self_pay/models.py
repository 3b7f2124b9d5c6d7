"""The read table of who said that they pay for themself."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class SelfPayStatement(ReadTable):
    """From which day on a client pays for themself, or does not any more; of one day only the
    statement made last."""

    starts_on = models.DateField()
    self_paying = models.BooleanField()
    reason = models.TextField(default="")
    stated_at = models.DateTimeField(null=True)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["client_id", "-starts_on"], name="self_pay_by_client"),
        ]
