"""Calendar feeds: a practice's own rows, with history."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.policy.rows import RevisionedModel


class CalendarFeed(RevisionedModel):
    """A secret link to the sessions of a practitioner or a facility, as a member of staff sees
    them. ``digest``: SHA-256 of the secret, which is shown once and never stored."""

    digest = models.CharField(max_length=64, unique=True)
    staff_id = models.UUIDField()
    practitioner_id = models.UUIDField(null=True)
    facility_id = models.UUIDField(null=True)
    label = models.CharField(max_length=60)
    is_revoked = models.BooleanField(default=False)

    class Meta:
        """Those of one account."""

        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["staff_id", "id"], name="feed_of_staff"),
        ]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=models.Q(practitioner_id=None) ^ models.Q(facility_id=None),
                name="feed_of_a_practitioner_or_a_facility",
            )
        ]

    def __str__(self) -> str:
        return self.label
