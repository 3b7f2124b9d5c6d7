"""The read table of disclosures."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Disclosure(ReadTable):
    """Something that left the practice: when, to whom, what and why. Survives erasure."""

    disclosed_at = models.DateTimeField()
    disclosed_by = models.UUIDField()
    what = models.CharField(max_length=60)
    recipient = models.CharField(max_length=200)
    purpose = models.CharField(max_length=200)
    starts_on = models.DateField(null=True)
    ends_on = models.DateField(null=True)
    authorization_id = models.UUIDField(null=True)
    payer_id = models.UUIDField(null=True)
    sha256 = models.JSONField(default=dict)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["client_id", "-disclosed_at", "id"], name="disclosure_by_client"),
            models.Index(
                fields=["authorization_id", "-disclosed_at", "id"],
                name="disclosure_by_authorization",
            ),
        ]
