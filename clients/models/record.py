"""What stands in a client's record on this floor. Consent, history and preference have one
row each, whose ``id`` is that of the client."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.eventlog.models import ReadTable


class Consent(ReadTable):
    """Touch consent as it stands; expiry follows from ``until``."""

    consent_id = models.UUIDField(null=True)
    status = models.CharField(max_length=12)
    sites = models.JSONField(default=list)
    techniques = models.JSONField(default=list)
    practitioners = models.JSONField(default=list)
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
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.UUIDField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["status", "until"], name="consent_ends"),
        ]


class Preference(ReadTable):
    """Whom she prefers (empty scope: anyone) and the exceptions that she agreed to."""

    scope = models.CharField(max_length=16, default="")
    gender = models.CharField(max_length=20, default="")
    practitioners = models.JSONField(default=list)
    exceptions = models.JSONField(default=list)
    stated_at = models.DateTimeField(null=True)
    stated_version = models.PositiveIntegerField(default=0)

    class Meta(ReadTable.Meta):
        abstract = False


class HealthHistory(ReadTable):
    """The reviewed history and the reports that wait for review."""

    status = models.CharField(max_length=10)
    reviewed = models.JSONField(null=True)
    review_id = models.UUIDField(null=True)
    reviewed_at = models.DateTimeField(null=True)
    reviewed_by = models.UUIDField(null=True)
    reports = models.JSONField(default=list)

    class Meta(ReadTable.Meta):
        abstract = False


class Order(ReadTable):
    """A surgeon's or physician's paper."""

    kind = models.CharField(max_length=16)
    giver = models.CharField(max_length=12)
    given_by = models.CharField(max_length=120)
    given_on = models.DateField()
    from_date = models.DateField(null=True)
    expires_on = models.DateField(null=True)
    subjects = models.JSONField(default=list)
    sites = models.JSONField(default=list)
    techniques = models.JSONField(default=list)
    limits = models.JSONField(default=list)
    widest = models.CharField(max_length=16)
    text = models.TextField(default="")
    lifted_on = models.DateField(null=True)
    lifted_by = models.CharField(max_length=120, default="")
    lifted_reason = models.TextField(default="")
    filed_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["client_id", "given_on"], name="order_by_client"),
        ]
