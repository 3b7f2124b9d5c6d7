"""Calls to clients, and what was last said of each thing that there was to call about."""

from __future__ import annotations

from django.db import models

from practice.work.models import ReadTable


class Call(ReadTable):
    """A call to a client. ``subjects`` are ``{reason, id}``."""

    called_at = models.DateTimeField()
    called_by = models.UUIDField()
    outcome = models.CharField(max_length=32)
    again_at = models.DateTimeField(null=True)
    subjects = models.JSONField(default=list)
    note = models.TextField(default="")

    class Meta(ReadTable.Meta):
        abstract = False


class CallTopic(ReadTable):
    """What came of the last call about a thing; ``id`` is that of the thing, e.g. a re-check."""

    reason = models.CharField(max_length=32)
    called_at = models.DateTimeField()
    called_by = models.UUIDField()
    outcome = models.CharField(max_length=32)
    again_at = models.DateTimeField(null=True)

    class Meta(ReadTable.Meta):
        abstract = False
