"""Times held for evaluations: the practice's own rows, with history."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.policy.rows import RevisionedModel


class HeldSlot(RevisionedModel):
    """A practitioner's time at a facility that is held for evaluations of new clients: by ISO
    weekday, or on one day; local times. ``release_hours`` before it begins it is anybody's."""

    practitioner_id = models.UUIDField()
    facility_id = models.UUIDField()
    weekday = models.PositiveSmallIntegerField(null=True)
    day = models.DateField(null=True)
    starts = models.TimeField()
    ends = models.TimeField()
    release_hours = models.PositiveSmallIntegerField(default=48)

    class Meta:
        """Those of one facility."""

        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["facility_id", "id"], name="held_slot_at_facility"),
        ]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=models.Q(weekday=None) ^ models.Q(day=None),
                name="held_slot_weekly_or_on_a_day",
            )
        ]

    def __str__(self) -> str:
        return f"{self.weekday or self.day} {self.starts}–{self.ends}"
