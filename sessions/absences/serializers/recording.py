"""Serializers of closures, absences, extra hours and public holidays."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import AbsenceKind
from practice.http.examples import example_id
from practice.http.fields import (
    DayField,
    EnumField,
    InstantField,
    LocalOrInstantField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer, StrictSerializer
from practice.people_and_places.name_fields import NameBesideId
from practice.people_and_places.services.exceptions import (
    AbsenceRequest,
    ClosureRequest,
    TimeOffRequest,
)
from sessions.absences.serializers.classes_met import MetClassesOutputSerializer
from sessions.absences.serializers.met import MetSessionOutputSerializer

WHEN = ("first_day", "last_day", "starts_at", "ends_at")


class TimeOffInputSerializer(StrictSerializer):
    """Whole local days, or a part of time."""

    first_day = DayField(required=False, help_text="The first whole local day.")
    last_day = DayField(required=False, help_text="The last one; left out: the one day.")
    starts_at = LocalOrInstantField(
        required=False,
        help_text='For a part of a day, instead of days: from when, `{"local": "2026-03-16T13:00"}`'
        " on the facility's clock or with an offset.",
    )
    ends_at = LocalOrInstantField(required=False, help_text="Until when; it may be another day.")

    def parted(self) -> tuple[TimeOffRequest, dict[str, Any]]:
        """When, and the rest of what was validated."""
        given = dict(self.validated_data)
        when = TimeOffRequest(**{name: given.pop(name) for name in WHEN if name in given})
        return when, given


class ClosureInputSerializer(TimeOffInputSerializer):
    """A facility is to be closed for a time."""

    example = {
        "facility_id": example_id("facility"),
        "first_day": "2026-03-10",
        "reason": "Snow: the road is closed.",
    }

    facility_id = serializers.UUIDField(help_text="The facility.")
    reason = TextField(max_length=300, help_text="Why; it may be told to clients.")

    def to_command(self, **more: Any) -> ClosureRequest:
        """The request of the validated input."""
        when, given = self.parted()
        return ClosureRequest(when=when, **given, **more)


class AbsenceInputSerializer(TimeOffInputSerializer):
    """A practitioner will not be there for a time."""

    example = {
        "practitioner_id": example_id("practitioner"),
        "first_day": "2026-03-10",
        "kind": "ill",
    }

    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    kind = EnumField(AbsenceKind, help_text="Why: `ill`, `leave`, `training` or `other`.")
    note = TextField(
        required=False,
        allow_blank=True,
        max_length=300,
        help_text="What else those who plan should know; told to no client.",
    )

    def to_command(self, **more: Any) -> AbsenceRequest:
        """The request of the validated input."""
        when, given = self.parted()
        return AbsenceRequest(when=when, **given, **more)


class LiftInputSerializer(StrictSerializer):
    """Why an absence or a closure counts no more."""

    example = {"reason": "The road is cleared."}

    reason = TextField(max_length=300, help_text="Why, e.g. `Back at work.`")


class TimeOffOutputSerializer(RecordSerializer):
    """What an absence and a closure have in common."""

    id = serializers.UUIDField(help_text="Its id.")
    revision = serializers.IntegerField(help_text="Counts changes; the ETag.")
    first_day = serializers.DateField(help_text="Its first local day.")
    last_day = serializers.DateField(help_text="Its last local day.")
    starts_at = InstantField(allow_null=True, help_text="From when; null: whole days.")
    ends_at = InstantField(allow_null=True, help_text="Until when; null: whole days.")
    recorded_by = serializers.UUIDField(help_text="The account that recorded it.")
    recorded_at = InstantField(help_text="When it was recorded.")
    lifted_by = serializers.UUIDField(allow_null=True, help_text="The account that lifted it.")
    lifted_at = InstantField(allow_null=True, help_text="When it was lifted; null: it counts.")
    lifted_reason = serializers.CharField(help_text="Why it was lifted; or empty.")


class ClosureOutputSerializer(TimeOffOutputSerializer):
    """A time in which a facility is closed."""

    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(source="facility.name", help_text="Its name.")
    reason = serializers.CharField(help_text="Why it is closed.")


class AbsenceOutputSerializer(TimeOffOutputSerializer):
    """A time in which a practitioner is not there."""

    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = serializers.CharField(source="practitioner.name", help_text="Their name.")
    kind = EnumField(AbsenceKind, help_text="Why, e.g. `ill`.")
    note = serializers.CharField(help_text="What else is to be known; may be empty.")


class StillMetOutputSerializer(RecordSerializer):
    """The worst first: how many sessions are still left."""

    still_without = serializers.IntegerField(
        help_text="Booked sessions to come that are still without a practitioner, or a place."
    )
    elsewhere = serializers.IntegerField(
        help_text="So many more at facilities that the caller does not see."
    )


class RecordedSessionsOutputSerializer(StillMetOutputSerializer):
    """The same, and the first of them."""

    without_stand_in = serializers.IntegerField(
        help_text="Those of `first` whom no colleague could take over as planned."
    )
    first = MetSessionOutputSerializer(
        many=True, help_text="The first in order of time; the others at `…/sessions`."
    )


class ClosureRecordedOutputSerializer(ClosureOutputSerializer):
    """A new closure and the sessions that it meets."""

    sessions = RecordedSessionsOutputSerializer(help_text="The booked sessions that it meets.")
    classes = MetClassesOutputSerializer(help_text="The classes that it meets.")


class AbsenceRecordedOutputSerializer(AbsenceOutputSerializer):
    """A new absence and the sessions that it meets."""

    sessions = RecordedSessionsOutputSerializer(help_text="The booked sessions that it meets.")
    classes = MetClassesOutputSerializer(help_text="The classes that it meets.")


class ClosureDetailOutputSerializer(ClosureOutputSerializer):
    """A closure, and how many sessions it still leaves without a place."""

    sessions = StillMetOutputSerializer(help_text="How many sessions it still meets.")
    classes = MetClassesOutputSerializer(help_text="The classes that it still meets.")


class AbsenceDetailOutputSerializer(AbsenceOutputSerializer):
    """An absence, and how many sessions it still leaves without a practitioner."""

    sessions = StillMetOutputSerializer(help_text="How many sessions it still meets.")
    classes = MetClassesOutputSerializer(help_text="The classes that it still meets.")


class ExtraHoursSerializer(StrictSerializer):
    """Hours of one day beyond the weekly ones."""

    example = {
        "practitioner_id": example_id("practitioner"),
        "facility_id": example_id("facility"),
        "day": "2026-03-21",
        "starts": "18:00",
        "ends": "20:00",
        "reason": "Stands in for a colleague.",
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the extra hours.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = NameBesideId("practitioner")
    facility_id = serializers.UUIDField(help_text="Where; they work there.")
    facility_name = NameBesideId("facility")
    day = DayField(help_text="The local day.")
    starts = serializers.TimeField(help_text="From when on the facility's clock, e.g. `18:00`.")
    ends = serializers.TimeField(help_text="Until when; `00:00` is the end of the day.")
    reason = TextField(required=False, allow_blank=True, max_length=300, help_text="Why, if said.")


class ExtraHoursOutputSerializer(ExtraHoursSerializer):
    """New extra hours, with what keeps some of them from being offered."""

    warnings = ReasonSerializer(many=True, read_only=True, help_text="What to see to, if anything.")


class HolidayOpeningSerializer(StrictSerializer):
    """A facility is open on one public holiday."""

    example = {
        "facility_id": example_id("facility"),
        "day": "2026-05-25",
        "reason": "Clients asked for it.",
    }

    id = serializers.UUIDField(read_only=True, help_text="Id of the opening.")
    revision = serializers.IntegerField(read_only=True, help_text="Counts changes.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = NameBesideId("facility")
    day = DayField(help_text="The public holiday, a local day.")
    reason = TextField(required=False, allow_blank=True, max_length=300, help_text="Why, if said.")


class HolidaysQuerySerializer(StrictSerializer):
    """Of which year."""

    year = WholeNumberField(min_value=1990, max_value=2090, help_text="The year, e.g. 2026.")


class HolidayOutputSerializer(RecordSerializer):
    """A public holiday of a facility's jurisdiction."""

    day = serializers.DateField(help_text="The local day.")
    name = serializers.CharField(help_text="What it is called, e.g. `Memorial Day`.")
    closed = serializers.BooleanField(
        help_text="Whether the facility is closed on it: by `calendar.closes_on_public_holidays`."
    )
    opening_id = serializers.UUIDField(
        allow_null=True, help_text="What opens the facility on it; null: nothing."
    )


class HolidaysOutputSerializer(RecordSerializer):
    """The public holidays of a year."""

    jurisdiction = serializers.CharField(help_text="The facility's, ISO 3166-2, e.g. `US-PA`.")
    closes = serializers.BooleanField(help_text="Whether the practice closes on public holidays.")
    holidays = HolidayOutputSerializer(many=True, help_text="In order of day.")
