"""What departs from the weekly hours: closures, public holidays worked, absences, extra hours."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.policy.rows import RevisionedModel


class TimeOff(RevisionedModel):
    """Local days, both included, or a part of time.

    Without ``starts_at`` the whole days count, each on the clock of the facility that is asked
    about. With it the instants count, and the days are those on which they begin and end.
    ``recorded_by`` and ``lifted_by`` are ids of accounts; once lifted it counts no more.
    """

    first_day = models.DateField()
    last_day = models.DateField()
    starts_at = models.DateTimeField(null=True)
    ends_at = models.DateTimeField(null=True)
    recorded_by = models.UUIDField()
    recorded_at = models.DateTimeField()
    lifted_by = models.UUIDField(null=True)
    lifted_at = models.DateTimeField(null=True)
    lifted_reason = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        """No table of its own."""

        abstract = True


class Closure(TimeOff):
    """A facility is closed, whatever its hours; ``reason`` may be told to clients."""

    facility = models.ForeignKey(Facility, models.CASCADE, related_name="closures")
    reason = models.CharField(max_length=300)

    class Meta:
        """Those in force and to come: the calendar and the call list ask for them."""

        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["last_day", "facility"],
                name="closure_in_force",
                condition=models.Q(lifted_at__isnull=True),
            ),
            models.Index(fields=["first_day", "id"], name="closure_by_day"),
        ]

    def __str__(self) -> str:
        return f"{self.first_day} to {self.last_day}"


class Absence(TimeOff):
    """A practitioner is not there, at any facility. ``kind`` is an AbsenceKind."""

    practitioner = models.ForeignKey(Practitioner, models.CASCADE, related_name="absences")
    kind = models.CharField(max_length=32)
    note = models.CharField(max_length=300, blank=True, default="")

    class Meta:
        """Those in force and to come: the calendar and the call list ask for them."""

        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["last_day", "practitioner"],
                name="absence_in_force",
                condition=models.Q(lifted_at__isnull=True),
            ),
            models.Index(fields=["first_day", "id"], name="absence_by_day"),
        ]

    def __str__(self) -> str:
        return f"{self.first_day} to {self.last_day}"


class ExtraHours(RevisionedModel):
    """A practitioner works at a facility on one day beyond the weekly hours; local times, an end
    of 00:00 is the end of that day."""

    practitioner = models.ForeignKey(Practitioner, models.CASCADE, related_name="extra_hours")
    facility = models.ForeignKey(Facility, models.CASCADE, related_name="extra_hours")
    day = models.DateField(db_index=True)
    starts = models.TimeField()
    ends = models.TimeField()
    reason = models.CharField(max_length=300, blank=True, default="")
    recorded_by = models.UUIDField()
    recorded_at = models.DateTimeField()

    class Meta:
        """One span begins at a time."""

        constraints = (
            models.UniqueConstraint(
                fields=("practitioner", "day", "starts"), name="extra_hours_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.day} {self.starts}–{self.ends}"


class HolidayOpening(RevisionedModel):
    """A facility is open on one public holiday, although the practice closes on them."""

    facility = models.ForeignKey(Facility, models.CASCADE, related_name="holiday_openings")
    day = models.DateField()
    reason = models.CharField(max_length=300, blank=True, default="")
    recorded_by = models.UUIDField()
    recorded_at = models.DateTimeField()

    class Meta:
        """A day once."""

        constraints = (
            models.UniqueConstraint(fields=("facility", "day"), name="holiday_opening_once"),
        )

    def __str__(self) -> str:
        return f"{self.day}"
