"""Serializers of the open times."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from practice.core.terms import Credential, Gender
from practice.http.fields import (
    DayField,
    EnumField,
    FlagField,
    InstantField,
    WholeNumberField,
)
from practice.http.pagination import LARGEST_PAGE, CursorField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.assessment.short_serializers import ReasonNumbersField, ReasonTextOutputSerializer
from sessions.booking.domain.open_times_query import PartOfDay
from sessions.booking.domain.spread import OfferOrder
from sessions.calendar.domain.terms import SessionPurpose

_WEEKDAYS = "1234567"
_CLOCK = ("%H:%M", "iso-8601")


class OpenTimeOutputSerializer(RecordSerializer):
    """A time that can be booked as it is offered."""

    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = serializers.CharField(help_text="The practitioner's name.")
    credential = EnumField(Credential, help_text="The credential.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="The facility's name.")
    room_id = serializers.UUIDField(allow_null=True, help_text="A room that is free then.")
    room_name = serializers.CharField(help_text="The room's name; empty without one.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    mode = ModeField(help_text="What a session then would be planned as.")
    reasons = ReasonNumbersField("why it would be no more than that", required=False)
    warnings = ReasonNumbersField("what a booking then would be warned of", required=False)


class ExcludedPractitionerOutputSerializer(RecordSerializer):
    """A practitioner who is not offered at a facility, on some of the days looked at."""

    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = serializers.CharField(help_text="The practitioner's name.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="The facility's name.")
    first_day = serializers.DateField(help_text="The first local day looked at on which it is so.")
    last_day = serializers.DateField(help_text="The last one.")
    reasons = ReasonForm(many=True, help_text="Why not.")


class ClosedDayOutputSerializer(RecordSerializer):
    """A day on which a facility is closed."""

    day = serializers.DateField(help_text="The local day.")
    reason = ReasonForm(help_text="Why.")


class OpenPlaceOutputSerializer(RecordSerializer):
    """A facility that was asked, and when it is closed."""

    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="The facility's name.")
    zone = serializers.CharField(help_text="Its IANA zone: all times are on its clock.")
    closed_weekdays = serializers.ListField(
        child=serializers.IntegerField(),
        help_text="ISO weekdays (1 Monday) among those asked on which it is never open.",
    )
    closed_days = ClosedDayOutputSerializer(
        many=True, help_text="Other asked days on which it is closed."
    )
    reasons = ReasonForm(many=True, help_text="Why nothing at all is offered there.")


class OpenTimesOutputSerializer(RecordSerializer):
    """One page of open times."""

    client_id = serializers.UUIDField(help_text="For whom, as it is sent to book one of them.")
    results = OpenTimeOutputSerializer(many=True, help_text="The offers, earliest first.")
    next_cursor = serializers.CharField(
        allow_null=True,
        help_text="Send as `cursor` for more; null where there are none. A page may be shorter than"
        " asked, even empty, where many times had to be left out.",
    )
    reason_texts = serializers.DictField(
        child=ReasonTextOutputSerializer(), help_text="Every reason once, by its number."
    )
    excluded = ExcludedPractitionerOutputSerializer(
        many=True, help_text="Who is not offered on the days looked at for this page, and why."
    )
    facilities = OpenPlaceOutputSerializer(many=True, help_text="Where it was looked.")
    left_out = ReasonForm(
        many=True,
        help_text="Why some times of the asked days are not offered although somebody is free:"
        " those that do not suit the client come with `with_unsuitable`.",
    )


@extend_schema_field({"type": "string", "pattern": "^[1-7](,[1-7]){0,6}$", "example": "2,4"})
class WeekdaysField(serializers.CharField):
    """ISO weekdays, Monday 1, with commas between them."""

    def to_internal_value(self, data: Any) -> Any:
        given = super().to_internal_value(data).split(",")
        if not all(len(one) == 1 and one in _WEEKDAYS for one in given):
            raise serializers.ValidationError(
                "Give weekdays from 1 (Monday) to 7 (Sunday) with commas between them, e.g. 2,4."
            )
        return frozenset(map(int, given))


class OpenTimesQueryInputSerializer(StrictSerializer):
    """The query of open times."""

    client_id = serializers.UUIDField(help_text="For whom.")
    facility_id = serializers.UUIDField(
        required=False, help_text="Where; else at every facility that the caller sees."
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="With whom; else all there.")
    gender = EnumField(Gender, required=False, help_text="Only practitioners of this gender.")
    credential = EnumField(Credential, required=False, help_text="Only with this credential.")
    minutes = WholeNumberField(
        required=False,
        min_value=1,
        max_value=1440,
        help_text="Length in minutes, e.g. 60; left out with `kind_id`, that kind's usual one.",
    )
    kind_id = serializers.UUIDField(
        required=False,
        help_text="A kind of session of the practice: its length, room and buffers are kept.",
    )
    purpose = EnumField(
        SessionPurpose, required=False, help_text="What for, e.g. `evaluation`; else `treatment`."
    )
    weekdays = WeekdaysField(
        required=False, help_text="Only on these ISO weekdays, Monday 1, e.g. `2,4`."
    )
    part_of_day = EnumField(
        PartOfDay,
        required=False,
        help_text="Only sessions that begin in this part of the day, by the practice's settings.",
    )
    earliest = serializers.TimeField(
        required=False,
        input_formats=_CLOCK,
        help_text="Not before this time of the facility's clock, e.g. `09:00`.",
    )
    latest = serializers.TimeField(
        required=False,
        input_formats=_CLOCK,
        help_text="Over by this time of the facility's clock, e.g. `12:30`.",
    )
    private_room = FlagField(required=False, help_text="Only where a private room is free.")
    hands_on = FlagField(
        required=False,
        help_text="Only where something can be done by hand; else self-directed too.",
    )
    covered = FlagField(
        required=False,
        help_text="Only where an authorization covers it, with what is left after what is booked,"
        " or the client pays.",
    )
    with_unsuitable = FlagField(
        required=False,
        help_text="true: times too that do not suit the client, each with a warning.",
    )
    order = EnumField(
        OfferOrder,
        required=False,
        help_text="`spread` (the default): each page over all asked days and hours; `time`: the"
        " earliest first.",
    )
    cursor = CursorField(
        required=False, help_text="`next_cursor` of the page before, with the same filters."
    )
    page_size = WholeNumberField(
        required=False, min_value=1, max_value=LARGEST_PAGE, help_text="Offers in a page, e.g. 20."
    )

    def get_fields(self) -> dict[str, Any]:
        """``from`` and ``to`` are words of the language, so they are named here."""
        fields = super().get_fields()
        fields["from"] = DayField(help_text="First local day, e.g. `2026-03-09`.")
        fields["to"] = DayField(help_text="Last local day, itself included.")
        return fields
