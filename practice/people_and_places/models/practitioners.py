"""Practitioners: hours, licences, signed-off techniques, supervision."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.people_and_places.models.facilities import Facility
from practice.policy.rows import RevisionedModel


class Practitioner(RevisionedModel):
    """Who works with clients, under one credential."""

    name = models.CharField(max_length=120)
    gender = models.CharField(max_length=20, blank=True)
    credential = models.CharField(max_length=40)
    npi = models.CharField(max_length=10, blank=True)
    languages = models.JSONField(default=list, blank=True)
    is_active = models.BooleanField(default=True)
    facilities = models.ManyToManyField(Facility, related_name="practitioners")

    LISTS: ClassVar = ("working_hours",)

    class Meta:
        """An NPI is one person's alone."""

        constraints = (
            models.UniqueConstraint(
                fields=("npi",), condition=~models.Q(npi=""), name="practitioner_npi_once"
            ),
        )

    def __str__(self) -> str:
        return self.name


class WorkingHours(models.Model):
    """When a practitioner works where: ISO weekday (1 Monday to 7 Sunday), local times."""

    id = models.BigAutoField(primary_key=True)
    practitioner = models.ForeignKey(Practitioner, models.CASCADE, related_name="working_hours")
    facility = models.ForeignKey(Facility, models.CASCADE, related_name="working_hours")
    weekday = models.PositiveSmallIntegerField()
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        """One span begins at a local time of a facility; in another zone that is another time."""

        ordering = ("weekday", "starts")
        constraints = (
            models.UniqueConstraint(
                fields=("practitioner", "facility", "weekday", "starts"),
                name="working_hours_once",
            ),
        )

    def __str__(self) -> str:
        return f"{self.weekday} {self.starts}–{self.ends}"


class Licence(RevisionedModel):
    """A licence in one jurisdiction; one that has expired is none."""

    practitioner = models.ForeignKey(Practitioner, models.CASCADE, related_name="licences")
    jurisdiction = models.CharField(max_length=10, db_index=True)
    credential = models.CharField(max_length=40)
    number = models.CharField(max_length=40)
    valid_from = models.DateField()
    expires_on = models.DateField(db_index=True)

    class Meta:
        """A number once in a jurisdiction."""

        constraints = (
            models.UniqueConstraint(
                fields=("jurisdiction", "credential", "number"), name="licence_number_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.credential} {self.jurisdiction}"


class Competence(RevisionedModel):
    """A technique that a practitioner was signed off for, practised on colleagues first.

    ``reason``: what stands for it where they signed off themself, nobody else being there.
    """

    practitioner = models.ForeignKey(Practitioner, models.CASCADE, related_name="competences")
    technique = models.CharField(max_length=40)
    signed_off_by = models.CharField(max_length=120)
    signed_off_on = models.DateField()
    practised_on_colleagues = models.BooleanField()
    reason = models.CharField(max_length=300, blank=True, default="")

    ADDED: ClassVar = {"reason": ""}

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("practitioner", "technique"), name="competence_technique_once"
            ),
        )

    def __str__(self) -> str:
        return self.technique


class Supervision(RevisionedModel):
    """Who supervises whom at a facility on one of its local days.

    ``co_signs``: by the practice's own rule the supervisor co-signs the notes of that day, also
    where no law asks for supervision. ``reason``: why that was changed last.
    """

    supervisor = models.ForeignKey(Practitioner, models.CASCADE, related_name="supervising")
    supervised = models.ForeignKey(Practitioner, models.CASCADE, related_name="supervised_by")
    facility = models.ForeignKey(Facility, models.CASCADE, related_name="supervisions")
    day = models.DateField(db_index=True)
    co_signs = models.BooleanField(default=False)
    reason = models.CharField(max_length=300, blank=True, default="")

    ADDED: ClassVar = {"co_signs": False, "reason": ""}

    class Meta:
        """One supervisor for a person, place and day."""

        constraints = (
            models.UniqueConstraint(
                fields=("supervised", "facility", "day"), name="supervision_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.day}"
