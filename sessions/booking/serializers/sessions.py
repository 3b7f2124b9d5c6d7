"""Serializers of the calendar: what is asked and what is shown."""

from __future__ import annotations

from typing import Any

import msgspec
from rest_framework import serializers

from clients.identity.display_names import with_display_names
from clients.permissions.domain.results import HandsOnExtent
from practice.core.localtime import zone_named
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode, Role
from practice.http.examples import example_id
from practice.http.fields import (
    EnumField,
    InstantField,
    LocalOrInstantField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField, serialize_stored_reasons, shown_reasons
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.assessment.serializers import (
    ClosedStretchesOutputSerializer,
    serialize_stored_stretches,
)
from sessions.booking.domain.commands import Attendance
from sessions.booking.serializers.arrival import ArrivalAnswersInputSerializer
from sessions.booking.services.requests import BookRequest, MoveRequest, RequestedTime
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.domain.terms import HandsOnToday, SessionPurpose
from sessions.calendar.models import Session


class SessionOutputSerializer(RecordSerializer):
    """A session with its plan, status and warnings."""

    id = serializers.UUIDField(help_text="Id of the session; it survives moves.")
    version = serializers.IntegerField(help_text="The session's version; its ETag.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name; empty after an erasure.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    practitioner_name = serializers.CharField(help_text="The practitioner's name.")
    credential = EnumField(Credential, help_text="The practitioner's credential when booked.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="Its name.")
    room_id = serializers.UUIDField(allow_null=True, help_text="The room, if one is taken.")
    room_name = serializers.CharField(help_text="Its name; empty without a room.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    local_date = serializers.DateField(help_text="The local day it starts on.")
    zone = serializers.CharField(help_text="The facility's zone, e.g. `America/New_York`.")
    status = EnumField(SessionStatus, help_text="Where it stands, e.g. `booked`.")
    purpose = EnumField(SessionPurpose, help_text="What it is for, e.g. `treatment`.")
    kind_id = serializers.UUIDField(
        allow_null=True, help_text="The practice's kind of session it was booked as, if any."
    )
    kind_name = serializers.CharField(help_text="That kind's name then; empty without one.")
    requested_mode = ModeField(
        allow_null=True, help_text="What was asked for when it was planned; null: nothing was."
    )
    planned_mode = ModeField(help_text="What it was planned as: never more than permitted.")
    planned_at_first = ModeField(
        allow_null=True,
        help_text="What it was planned as before it narrowed, where a move left it narrower: "
        "`POST /session-replans` gives it back as far as it may be; null: nothing was lost.",
    )
    mode = ModeField(help_text="The most that any of it may be as last evaluated.")
    hands_on = EnumField(
        HandsOnExtent,
        help_text="How much of the programme is by hand as last evaluated: `all`, `part` or"
        " `nothing`; of the whole catalogue while the client is on no stretch.",
    )
    closed = ClosedStretchesOutputSerializer(
        many=True, help_text="What of it is not by hand, and why; empty to the desk and billing."
    )
    reasons = ReasonForm(many=True, help_text="Why it is no more, what flagged it first.")
    flagged = serializers.BooleanField(help_text="It narrowed since it was planned.")
    flag_cause = serializers.CharField(help_text="The event that narrowed it, or `settings`.")
    flag_reasons = ReasonForm(many=True, help_text="Why it narrowed.")
    narrowed = ClosedStretchesOutputSerializer(
        many=True, help_text="What is narrower than planned; empty to the desk and billing."
    )
    late_entry = serializers.BooleanField(
        help_text="It was entered after it took place; it says nothing of the arrival time."
    )
    overlaps = serializers.ListField(
        child=serializers.UUIDField(), help_text="Sessions that this late entry overlaps."
    )
    hands_on_today = EnumField(HandsOnToday, help_text="The client's answer that day, e.g. `yes`.")
    arrived_at = InstantField(allow_null=True, help_text="When the client came.")
    opened_at = InstantField(allow_null=True, help_text="When the practitioner opened it.")
    stopped_at_minute = serializers.IntegerField(allow_null=True, help_text="Minute of a stop.")
    confirmed_at = InstantField(
        allow_null=True, help_text="When someone said that the client comes; null: nobody did."
    )
    confirmed_by = serializers.CharField(help_text="Who said so, e.g. `client`; or empty.")
    confirmed_how = serializers.CharField(help_text="How, e.g. `phone`; or empty.")
    cancelled_by = serializers.CharField(help_text="`client`, `practice` or empty.")
    notice_minutes = serializers.IntegerField(allow_null=True, help_text="Notice, in minutes.")
    ended_reason = serializers.CharField(help_text="Why it was cancelled or missed.")
    note_id = serializers.UUIDField(allow_null=True, help_text="The signed note.")
    overruled = serializers.CharField(
        help_text="Why it was booked or moved although the place was closed or the practitioner "
        "absent then; or empty."
    )
    series_id = serializers.UUIDField(allow_null=True, help_text="The series it was booked in.")
    class_id = serializers.UUIDField(
        allow_null=True, help_text="The class in which it is a place; null: a session of its own."
    )
    series_exception = serializers.CharField(
        help_text="`moved` or `cancelled` where it was so by itself, not with its series; or empty."
    )
    warnings = ReasonForm(
        many=True,
        help_text="Things to see to, kept from its booking or last move, and those of the "
        "command that is answered; they forbid nothing.",
    )


_COMPUTED_FIELDS = {
    "late_entry",
    "starts_at",
    "ends_at",
    "requested_mode",
    "planned_at_first",
    "closed",
    "narrowed",
    "reasons",
    "flag_reasons",
    "warnings",
}
_COLUMN_FIELDS = [
    name for name in SessionOutputSerializer().get_fields() if name not in _COMPUTED_FIELDS
]


def serialize_session(role: Role, row: Session, warnings: list[Reason] | None = None) -> Any:
    """A session as one role may read it, with the names of whom and what it is about."""
    if not hasattr(row, "client_name"):
        with_display_names([row])
    zone = zone_named(row.zone)
    return SessionOutputSerializer(
        {
            **{name: getattr(row, name) for name in _COLUMN_FIELDS},
            "starts_at": row.starts_at.astimezone(zone),
            "ends_at": row.ends_at.astimezone(zone),
            "requested_mode": row.requested_mode or None,
            "planned_at_first": row.first_mode or None,
            "closed": serialize_stored_stretches(role, row.closed),
            "narrowed": serialize_stored_stretches(role, row.narrowed),
            "reasons": serialize_stored_reasons(role, _reasons(row)),
            "flag_reasons": serialize_stored_reasons(role, row.flag_reasons),
            "late_entry": row.late_entry,
            "warnings": shown_reasons(role, _warnings(row, warnings or [])),
        }
    ).data


def _reasons(row: Session) -> list[Any]:
    """Why it is no more than its mode: what it was last evaluated by, and before that what
    flagged it since."""
    if not row.flagged or row.mode == Mode.HANDS_ON:
        return list(row.reasons)
    return [*row.flag_reasons, *(one for one in row.reasons if one not in row.flag_reasons)]


def _warnings(row: Session, told: list[Reason]) -> list[Reason]:
    """What was warned of when it was booked or moved, while it is not cancelled, and now."""
    over = row.status == SessionStatus.CANCELLED
    kept = [] if over else msgspec.convert(row.warnings, list[Reason])
    return [*kept, *(one for one in told if one not in kept)]


class SessionTimeInputSerializer(StrictSerializer):
    """A start, and either a length or an end."""

    starts_at = LocalOrInstantField(
        help_text='Start: `2026-03-09T09:30:00-04:00` or `{"local": ...}`.'
    )
    ends_at = LocalOrInstantField(required=False, help_text="End; instead of `minutes`.")
    minutes = WholeNumberField(
        required=False, min_value=1, max_value=1440, help_text="Length in minutes, e.g. 60."
    )


class SessionBookInputSerializer(SessionTimeInputSerializer):
    """A session to be booked, or one that took place."""

    example = {
        "client_id": example_id("client"),
        "practitioner_id": example_id("practitioner"),
        "facility_id": example_id("facility"),
        "room_id": example_id("room"),
        "starts_at": "2026-03-16T09:30:00-04:00",
        "minutes": 60,
    }

    client_id = serializers.UUIDField(help_text="The client.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    facility_id = serializers.UUIDField(help_text="The facility; its zone decides the day.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="A room there.")
    requested_mode = ModeField(
        required=False,
        help_text="`hands_on` or `self_directed`; left out, it is planned as permitted.",
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
        help_text="Why it is booked although the place is closed or the practitioner absent then.",
    )
    attendance = EnumField(
        Attendance, required=False, help_text="Only for a late entry: `attended` or `no_show`."
    )
    answers = ArrivalAnswersInputSerializer(
        required=False, help_text="Only for a late entry: what was answered."
    )

    def to_command(self, **more: Any) -> BookRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        when = RequestedTime(**{name: given.pop(name) for name in _TIME_FIELDS if name in given})
        answers = given.pop("answers", None)
        if answers is not None:
            if "attendance" not in given:
                raise serializers.ValidationError(
                    {"answers": ["Only for a late entry; else take them on arrival."]}
                )
            given["answers"] = ArrivalAnswersInputSerializer.to_answers(answers)
        return BookRequest(when=when, **given, **more)


_TIME_FIELDS = ("starts_at", "ends_at", "minutes")


class SessionMoveInputSerializer(StrictSerializer):
    """Another time, place or practitioner; what is not given stays."""

    example = {
        "starts_at": {"local": "2026-03-17T14:00"},
        "reason": "Client asked for a later day.",
    }

    starts_at = LocalOrInstantField(
        required=False,
        help_text="The new start; alone it keeps the length that is booked.",
    )
    ends_at = LocalOrInstantField(required=False, help_text="The new end; instead of `minutes`.")
    minutes = WholeNumberField(
        required=False,
        min_value=1,
        max_value=1440,
        help_text="Length in minutes, e.g. 60; left out with `ends_at`, the length stays.",
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="Another practitioner.")
    facility_id = serializers.UUIDField(required=False, help_text="Another facility.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="Another room.")
    requested_mode = ModeField(
        required=False, help_text="To plan it anew: `hands_on`, `self_directed`."
    )
    reason = TextField(max_length=500, help_text="Why, e.g. `Client asked for an earlier time.`")
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why it is moved although the place is closed or the practitioner absent then.",
    )

    def to_command(self, **more: Any) -> MoveRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        timed = {name: given.pop(name) for name in _TIME_FIELDS if name in given}
        if timed and "starts_at" not in timed:
            raise serializers.ValidationError({"starts_at": ["Give the start with the length."]})
        return MoveRequest(
            when=RequestedTime(**timed) if timed else None,
            keep_room="room_id" not in given and "facility_id" not in given,
            **given,
            **more,
        )
