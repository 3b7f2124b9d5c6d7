"""Kinds of session: the practice's own rows, with history."""

from __future__ import annotations

from django.db import models

from practice.policy.rows import RevisionedModel


class SessionKind(RevisionedModel):
    """A kind of session that the practice offers. ``lengths`` in minutes, ``default_minutes``
    among them; the buffers are minutes in which practitioner and room are not free."""

    name = models.CharField(max_length=60, unique=True)
    purpose = models.CharField(max_length=32)
    default_minutes = models.PositiveSmallIntegerField()
    lengths = models.JSONField(default=list)
    buffer_before = models.PositiveSmallIntegerField(default=0)
    buffer_after = models.PositiveSmallIntegerField(default=0)
    hands_on = models.BooleanField(default=True)
    private_room = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)

    def __str__(self) -> str:
        return self.name
