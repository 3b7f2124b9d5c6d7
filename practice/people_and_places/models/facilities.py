"""Places: facilities, their hours, their own policy, their rooms."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.policy.rows import RevisionedModel


class Facility(RevisionedModel):
    """A place of work. Its zone decides local days; its jurisdiction decides the law."""

    name = models.CharField(max_length=120, unique=True)
    zone = models.CharField(max_length=64)
    jurisdiction = models.CharField(max_length=10, db_index=True)
    phone = models.CharField(max_length=20, blank=True)
    is_active = models.BooleanField(default=True)

    LISTS: ClassVar = ("opening_hours",)

    def __str__(self) -> str:
        return self.name


class OpeningHours(models.Model):
    """When a facility is open: ISO weekday (1 Monday to 7 Sunday), local times."""

    id = models.BigAutoField(primary_key=True)
    facility = models.ForeignKey(Facility, models.CASCADE, related_name="opening_hours")
    weekday = models.PositiveSmallIntegerField()
    opens = models.TimeField()
    closes = models.TimeField()

    class Meta:
        """One span begins at a time."""

        ordering = ("weekday", "opens")
        constraints = (
            models.UniqueConstraint(
                fields=("facility", "weekday", "opens"), name="opening_hours_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.weekday} {self.opens}–{self.closes}"


class FacilityRule(RevisionedModel):
    """What a facility says beyond the law: it can only narrow.

    A row speaks of an activity, a technique, or both; an empty one means every one.
    """

    facility = models.ForeignKey(Facility, models.CASCADE, related_name="rules")
    activity = models.CharField(max_length=40, blank=True)
    technique = models.CharField(max_length=40, blank=True)
    allowance = models.CharField(max_length=20)
    reason = models.CharField(max_length=300)

    class Meta:
        """One row for a pair."""

        constraints = (
            models.UniqueConstraint(
                fields=("facility", "activity", "technique"), name="facility_policy_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.activity or 'all'}/{self.technique or 'all'}: {self.allowance}"


class Room(RevisionedModel):
    """A room of a facility."""

    facility = models.ForeignKey(Facility, models.PROTECT, related_name="rooms")
    name = models.CharField(max_length=60)
    is_private = models.BooleanField(default=True)
    is_active = models.BooleanField(default=True)

    class Meta:
        """A name once in a facility."""

        constraints = (models.UniqueConstraint(fields=("facility", "name"), name="room_name_once"),)

    def __str__(self) -> str:
        return self.name
