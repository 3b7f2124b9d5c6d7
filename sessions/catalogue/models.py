"""The practice's catalogue of stretches: every version of every stretch is kept."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.policy.rows import RevisionedModel


class Stretch(RevisionedModel):
    """One version of a stretch. A change adds the next version; the latest one counts.

    ``content`` is what ``sessions.catalogue.domain.content.StretchContent`` describes.
    """

    code = models.CharField(max_length=60)
    version = models.PositiveIntegerField(default=1)
    content = models.JSONField()
    is_active = models.BooleanField(default=True)

    class Meta:
        """A version once per stretch."""

        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(fields=["code", "version"], name="stretch_version_once"),
        ]

    def __str__(self) -> str:
        return f"{self.code} version {self.version}"
