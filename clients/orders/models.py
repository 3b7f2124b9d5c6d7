"""What stands in a client's record in this app. Consent, history and preference have one
row each, whose ``id`` is that of the client."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Order(ReadTable):
    """A surgeon's or physician's order."""

    kind = models.CharField(max_length=32)
    prescriber = models.CharField(max_length=32)
    prescriber_name = models.CharField(max_length=120)
    given_on = models.DateField()
    from_date = models.DateField(null=True)
    expires_on = models.DateField(null=True)
    subjects = models.JSONField(default=list)
    sites = models.JSONField(default=list)
    techniques = models.JSONField(default=list)
    limits = models.JSONField(default=list)
    widest_mode = models.CharField(max_length=32)
    text = models.TextField(default="")
    stands_against = models.JSONField(default=list)
    lifted_on = models.DateField(null=True)
    lifted_by = models.CharField(max_length=120, default="")
    lifted_reason = models.TextField(default="")
    filed_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["client_id", "given_on"], name="order_by_client"),
            models.Index(fields=["expires_on", "id"], name="order_by_end"),
        ]
