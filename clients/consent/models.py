"""What stands in a client's record in this app. Consent, history and preference have one
row each, whose ``id`` is that of the client."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Consent(ReadTable):
    """Touch consent as it stands; expiry follows from ``until``. ``ledger``: all on record."""

    consent_id = models.UUIDField(null=True)
    status = models.CharField(max_length=32)
    sites = models.JSONField(default=list)
    techniques = models.JSONField(default=list)
    practitioner_ids = models.JSONField(default=list)
    gender = models.CharField(max_length=20, default="")
    support_person = models.BooleanField(default=False)
    interpreter = models.BooleanField(default=False)
    given_on = models.DateField(null=True)
    until = models.DateField(null=True)
    form = models.CharField(max_length=24, default="")
    language = models.CharField(max_length=20, default="")
    obtained_by = models.CharField(max_length=120, default="")
    witness = models.CharField(max_length=120, default="")
    typed_name = models.CharField(max_length=120, default="")
    reason = models.TextField(default="")
    ledger = models.JSONField(default=dict)
    occurred_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.UUIDField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["status", "until"], name="consent_ends"),
        ]
