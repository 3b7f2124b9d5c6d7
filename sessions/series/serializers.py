"""Serializers of series: what is asked, what became of each session, and a series as it stands."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.http.examples import example_id
from practice.http.fields import (
    DayField,
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstantField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.booking.serializers.freed import WaitingFitsOutputSerializer
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.terms import CancelledBy, SessionPurpose
from sessions.series.domain.answers import OccurrenceResult
from sessions.series.domain.changes import SeriesCancelRequest, SeriesMoveRequest, SeriesRequest

WEEK = 7 * 24 * 60


class SeriesBookInputSerializer(StrictSerializer):
    """A series to be booked."""

    command = SeriesRequest
    example = {
        "client_id": example_id("client"),
        "practitioner_id": example_id("practitioner"),
        "facility_id": example_id("facility"),
        "room_id": example_id("room"),
        "starts_at": {"local": "2026-03-17T09:30"},
        "minutes": 60,
        "recurrence": "FREQ=WEEKLY;BYDAY=TU,TH;COUNT=12",
    }

    client_id = serializers.UUIDField(help_text="The client.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    facility_id = serializers.UUIDField(help_text="The facility; its clock decides the times.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="A room there.")
    starts_at = LocalOrInstantField(
        help_text='First start, which also gives the time of day: `{"local": "2026-03-17T09:30"}`.'
    )
    minutes = WholeNumberField(
        required=False,
        min_value=1,
        max_value=1440,
        help_text="Length of each, e.g. 60; left out, the usual one of the kind.",
    )
    recurrence = TextField(
        max_length=200,
        help_text="An RRULE (RFC 5545): DAILY, WEEKLY or MONTHLY, with COUNT or UNTIL, e.g."
        " `FREQ=WEEKLY;BYDAY=TU,TH;COUNT=12`.",
    )
    requested_mode = ModeField(
        required=False,
        help_text="`hands_on` or `self_directed`; left out, each is planned as permitted.",
    )
    kind_id = serializers.UUIDField(
        required=False,
        help_text="A kind of session of the practice: length, purpose and mode follow from it.",
    )
    purpose = EnumField(
        SessionPurpose, required=False, help_text="What for, e.g. `evaluation`; else `treatment`."
    )
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why each is booked although the place is closed or the practitioner absent"
        " then.",
    )
    all_or_nothing = FlagField(
        required=False, help_text="true: where one cannot be booked, none is, and 409 says why."
    )


class SeriesMoveInputSerializer(StrictSerializer):
    """Another time, practitioner or room for the sessions from a day on."""

    example = {
        "from_day": "2026-03-17",
        "shift_minutes": 60,
        "reason": "Client works in the mornings now.",
    }

    from_day = DayField(help_text="The first local day that it is about, e.g. `2026-03-17`.")
    shift_minutes = WholeNumberField(
        required=False,
        min_value=-WEEK,
        max_value=WEEK,
        help_text="So many minutes of the clock later; earlier where negative, e.g. 60.",
    )
    of_weekday = WholeNumberField(
        required=False,
        min_value=1,
        max_value=7,
        help_text="Only the sessions on this weekday; Monday is 1.",
    )
    weekday = WholeNumberField(
        required=False, min_value=1, max_value=7, help_text="To this weekday of the same week."
    )
    time = serializers.TimeField(
        required=False, help_text="To this time of the facility's clock, e.g. `14:30`."
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="To this practitioner.")
    room_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="To this room; null: to none."
    )
    reason = TextField(max_length=500, help_text="Why, e.g. `Client works in the mornings now.`")
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why each is moved although the place is closed or the practitioner absent then.",
    )
    all_or_nothing = FlagField(
        required=False, help_text="true: where one cannot be moved, none is, and 409 says why."
    )

    def to_command(self, **more: Any) -> SeriesMoveRequest:
        """The request of the validated input."""
        kept = "room_id" not in self.validated_data
        return SeriesMoveRequest(**self.validated_data, keep_room=kept, **more)


class SeriesCancelInputSerializer(StrictSerializer):
    """Who calls the sessions off from a day on, and why."""

    command = SeriesCancelRequest
    example = {"from_day": "2026-03-17", "by": "client", "reason": "Goes on with it at home."}

    from_day = DayField(help_text="The first local day that it is about, e.g. `2026-03-17`.")
    by = EnumField(CancelledBy, help_text="Who: `client` or `practice`.")
    reason = TextField(max_length=500, help_text="Why, e.g. `Goes on with it at home.`")
    occurred_at = InstantField(
        required=False,
        help_text="When the practice was told, if it is entered later; the notice counts from it.",
    )


class SeriesSessionOutputSerializer(RecordSerializer):
    """A session of a series, in short."""

    id = serializers.UUIDField(help_text="Id of the session.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    local_date = serializers.DateField(help_text="The local day it starts on.")
    status = EnumField(SessionStatus, help_text="Where it stands, e.g. `booked`.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = serializers.CharField(help_text="The practitioner's name.")
    room_id = serializers.UUIDField(allow_null=True, help_text="The room, if one is taken.")
    room_name = serializers.CharField(help_text="Its name; empty without a room.")
    mode = ModeField(help_text="The most that any of it may be as last evaluated.")
    kind_id = serializers.UUIDField(
        allow_null=True, help_text="The practice's kind of session it was booked as, if any."
    )
    kind_name = serializers.CharField(help_text="That kind's name then; empty without one.")
    reasons = ReasonForm(many=True, help_text="Why it is no more than that.")
    flagged = serializers.BooleanField(help_text="It narrowed since it was planned.")
    series_exception = serializers.CharField(
        help_text="`moved` or `cancelled` where it was so by itself, not with its series; or empty."
    )


class TakenTimeOutputSerializer(RecordSerializer):
    """A session that holds the time."""

    taken = serializers.CharField(help_text="What it takes: `practitioner`, `room` or `client`.")
    starts_at = serializers.CharField(help_text="Its start on the facility's clock.")
    ends_at = serializers.CharField(help_text="Its end on the facility's clock.")
    session_id = serializers.UUIDField(
        allow_null=True, help_text="The session; null where the caller may not see it."
    )
    client_name = serializers.CharField(help_text="Its client, to those who may see it.")


class RefusalOutputSerializer(RecordSerializer):
    """Why one session was refused: what booking or moving it alone would say."""

    code = serializers.CharField(help_text="Stable code, e.g. `time_taken`.")
    detail = serializers.CharField(help_text="What stands against it and what to do.")
    reasons = ReasonForm(many=True, help_text="Rules that stand against it.")
    taken = serializers.ListField(
        child=serializers.CharField(), help_text="For a taken time: who or what is taken."
    )
    conflicts = TakenTimeOutputSerializer(many=True, help_text="The sessions that hold the time.")
    bookable_as = serializers.ListField(
        child=serializers.CharField(), help_text="As what it could be booked instead."
    )


class OccurrenceOutputSerializer(RecordSerializer):
    """What became of one session."""

    result = EnumField(OccurrenceResult, help_text="E.g. `booked`, `refused` or `left`.")
    starts_at = InstantField(help_text="Its start; for one that was refused, the one asked for.")
    session = SeriesSessionOutputSerializer(
        allow_null=True, help_text="The session as it stands; null where none was booked."
    )
    warnings = ReasonForm(many=True, help_text="Things to see to; they forbid nothing.")
    refusal = RefusalOutputSerializer(
        allow_null=True, help_text="Why it could not be; null where it was not refused."
    )
    left_because = serializers.CharField(help_text="Why it was left as it is; empty otherwise.")
    waiting_fits = WaitingFitsOutputSerializer(
        allow_null=True,
        help_text="Who on the waiting list may have the time that came free: looked for at the"
        " soonest `series.most_freed_times` of them, null for the others.",
    )


class SeriesResultOutputSerializer(RecordSerializer):
    """What a command did to a series: how many came to what, and each session."""

    id = serializers.UUIDField(help_text="Id of the series.")
    client_id = serializers.UUIDField(help_text="The client.")
    booked = serializers.IntegerField(help_text="So many were booked.")
    moved = serializers.IntegerField(help_text="So many were moved.")
    cancelled = serializers.IntegerField(help_text="So many were called off.")
    unchanged = serializers.IntegerField(help_text="So many were as asked already.")
    refused = serializers.IntegerField(help_text="So many could not be; each says why.")
    left = serializers.IntegerField(help_text="So many were left as they are; each says why.")
    on_closed_days = serializers.IntegerField(
        help_text="Of those booked or moved, so many when the facility is closed."
    )
    outside_working_hours = serializers.IntegerField(
        help_text="Of those, so many when the practitioner does not work there or is absent."
    )
    on_public_holidays = serializers.IntegerField(
        help_text="Of those, so many on a public holiday."
    )
    occurrences = OccurrenceOutputSerializer(many=True, help_text="Each session, in order of time.")


class NotBookedOutputSerializer(RecordSerializer):
    """A time of a series that could not be booked."""

    starts_at = InstantField(help_text="Its start on the facility's clock.")
    code = serializers.CharField(help_text="Stable code, e.g. `time_taken`.")
    reasons = ReasonForm(many=True, help_text="Rules that stood against it.")


class SeriesOutputSerializer(RecordSerializer):
    """A series as it was booked, with its sessions as they stand."""

    id = serializers.UUIDField(help_text="Id of the series.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name; empty after an erasure.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner it was booked with.")
    practitioner_name = serializers.CharField(help_text="The practitioner's name.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="Its name.")
    room_id = serializers.UUIDField(allow_null=True, help_text="The room it was booked in.")
    room_name = serializers.CharField(help_text="Its name; empty without a room.")
    starts_at = InstantField(help_text="Its first start on the facility's clock.")
    zone = serializers.CharField(help_text="The facility's zone, e.g. `America/New_York`.")
    minutes = serializers.IntegerField(help_text="Length of each in minutes.")
    rule = serializers.CharField(help_text="Its RRULE (RFC 5545).")
    purpose = EnumField(SessionPurpose, help_text="What it is for, e.g. `treatment`.")
    requested_mode = ModeField(allow_null=True, help_text="What was asked for; null: nothing was.")
    kind_id = serializers.UUIDField(
        allow_null=True, help_text="The practice's kind of session it was booked as, if any."
    )
    kind_name = serializers.CharField(help_text="That kind's name then; empty without one.")
    overruled = serializers.CharField(
        help_text="Why they were to be where the place was closed or the practitioner absent; or"
        " empty."
    )
    sessions = SeriesSessionOutputSerializer(many=True, help_text="Its sessions, by start.")
    not_booked = NotBookedOutputSerializer(many=True, help_text="What could not be booked.")
