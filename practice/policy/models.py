"""The practice itself, its settings, and the history of everything it changes."""

from __future__ import annotations

from typing import ClassVar
from uuid import UUID

from django.db import models

from practice.policy.rows import RevisionedModel

PRACTICE_ID = UUID(int=1)
"""The id of the one row of Practice: one database holds one practice."""


class Practice(RevisionedModel):
    """The practice: one row. ``postal_address``, in lines, stands in each mail to a client."""

    name = models.CharField(max_length=120)
    zone = models.CharField(max_length=64)
    phone = models.CharField(max_length=20, blank=True)
    postal_address = models.CharField(max_length=300, blank=True, default="")

    ADDED: ClassVar = {"postal_address": ""}

    def __str__(self) -> str:
        return self.name


class PracticeSetting(RevisionedModel):
    """A threshold or policy of the practice, with what it rests on.

    ``least`` and ``most`` bound every number in the value; they come with the program.
    """

    group = models.CharField(max_length=40)
    key = models.CharField(max_length=80)
    value = models.JSONField()
    unit = models.CharField(max_length=40, blank=True)
    about = models.TextField(blank=True)
    citation = models.TextField(blank=True)
    minimum = models.FloatField(null=True)
    maximum = models.FloatField(null=True)

    class Meta:
        """A key once in its group."""

        constraints = (
            models.UniqueConstraint(fields=("group", "key"), name="practice_setting_once"),
        )

    def __str__(self) -> str:
        return f"{self.group}.{self.key}"


class RowSeal(models.Model):
    """The seal of a row of a practice table as the program wrote it; see ``row_seals``."""

    table = models.CharField(max_length=60)
    row_id = models.CharField(max_length=64)
    mac = models.BinaryField()

    class Meta:
        """One seal for a row."""

        constraints = (models.UniqueConstraint(fields=("table", "row_id"), name="row_seal_once"),)

    def __str__(self) -> str:
        return f"seal of {self.table} {self.row_id}"


class SettingChange(models.Model):
    """What stood in a row of the practice before and after a change, and who made it."""

    id = models.BigAutoField(primary_key=True)
    table = models.CharField(max_length=60)
    row_id = models.CharField(max_length=64, db_index=True)
    occurred_at = models.DateTimeField(db_index=True)
    actor = models.UUIDField()
    request_id = models.CharField(max_length=64)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)

    def __str__(self) -> str:
        return f"{self.table} {self.row_id}"
