"""Travel times between facilities: the practice's own rows, with history."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.policy.rows import RevisionedModel


class TravelTime(RevisionedModel):
    """Minutes between two facilities, whichever way; the smaller id is the first."""

    facility_id = models.UUIDField()
    other_facility_id = models.UUIDField()
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        """Two facilities once."""

        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["facility_id", "other_facility_id"], name="travel_time_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.minutes} minutes"
