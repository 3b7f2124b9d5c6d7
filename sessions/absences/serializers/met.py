"""Serializers of the sessions that an absence or a closure meets, and of moving them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Credential
from practice.http.examples import example_id
from practice.http.fields import (
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
from sessions.absences.services.moves import MovesRequest
from sessions.booking.services.requests import MoveRequest, RequestedTime

TIME_FIELDS = ("starts_at", "ends_at", "minutes")
MOST_MOVES = 100


class StandInOutputSerializer(RecordSerializer):
    """A colleague who may take the session over at its time."""

    practitioner_id = serializers.UUIDField(help_text="The colleague.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    credential = EnumField(Credential, help_text="Their credential.")
    mode = ModeField(help_text="What the session would be planned as with them.")
    reasons = ReasonForm(many=True, help_text="Why it would be no more than that.")


class LeftOutOutputSerializer(RecordSerializer):
    """A colleague who is there and free, and may not take it over as planned."""

    practitioner_id = serializers.UUIDField(help_text="The colleague.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    reasons = ReasonForm(many=True, help_text="Why not.")


class MetSessionOutputSerializer(RecordSerializer):
    """A booked session that an absence or a closure meets."""

    session_id = serializers.UUIDField(help_text="The session.")
    version = serializers.IntegerField(help_text="Its version, for `If-Match` of a move.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    client_phone = serializers.CharField(help_text="The client's phone; may be empty.")
    client_contact_by = serializers.CharField(help_text="How the client wants to be reached.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    practitioner_id = serializers.UUIDField(help_text="The practitioner it is booked with.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="Its name.")
    room_name = serializers.CharField(help_text="The room; empty without one.")
    mode = ModeField(help_text="The most that any of it may be as last evaluated.")
    class_id = serializers.UUIDField(
        allow_null=True, help_text="The class in which it is a place: it is moved with that."
    )
    stand_ins = StandInOutputSerializer(
        many=True,
        help_text="Who is there and free then and may take it over as it is planned, by name.",
    )
    left_out = LeftOutOutputSerializer(
        many=True, help_text="Who is there and free then and may not, and why."
    )


class MoveOfSessionInputSerializer(StrictSerializer):
    """Where one session is to go; what is not given stays."""

    session_id = serializers.UUIDField(help_text="The session.")
    practitioner_id = serializers.UUIDField(required=False, help_text="Who stands in.")
    starts_at = LocalOrInstantField(required=False, help_text="Another start; keeps the length.")
    ends_at = LocalOrInstantField(required=False, help_text="The new end; instead of `minutes`.")
    minutes = WholeNumberField(
        required=False, min_value=1, max_value=1440, help_text="Another length, in minutes."
    )
    facility_id = serializers.UUIDField(required=False, help_text="Another facility.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="Another room.")
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why it is moved although the place is closed or the practitioner absent then.",
    )


class MovesInputSerializer(StrictSerializer):
    """Several sessions to be moved in one act."""

    example = {
        "moves": [
            {
                "session_id": example_id("met_session"),
                "practitioner_id": example_id("stand_in"),
            }
        ],
        "reason": "The practitioner is ill.",
        "all_or_nothing": False,
    }

    moves = serializers.ListField(
        child=MoveOfSessionInputSerializer(),
        min_length=1,
        max_length=MOST_MOVES,
        help_text="Each session once.",
    )
    reason = TextField(max_length=500, help_text="Why, e.g. `The practitioner is ill.`")
    all_or_nothing = FlagField(
        required=False, help_text="true: where one cannot be moved, none is; e.g. false."
    )

    def to_command(self, **more: Any) -> MovesRequest:
        """The request of the validated input."""
        given = self.validated_data
        moves = {one["session_id"]: _move(one, given["reason"]) for one in given["moves"]}
        if len(moves) < len(given["moves"]):
            raise serializers.ValidationError({"moves": ["A session is named twice."]})
        return MovesRequest(moves=moves, all_or_nothing=given.get("all_or_nothing", False), **more)


def _move(one: dict[str, Any], reason: str) -> MoveRequest:
    given = {name: value for name, value in one.items() if name != "session_id"}
    timed = {name: given.pop(name) for name in TIME_FIELDS if name in given}
    if timed and "starts_at" not in timed:
        raise serializers.ValidationError({"moves": ["Give the start with the length."]})
    return MoveRequest(
        reason=reason,
        when=RequestedTime(**timed) if timed else None,
        keep_room="room_id" not in given and "facility_id" not in given,
        **given,
    )


class MoveOutcomeOutputSerializer(RecordSerializer):
    """What became of one session."""

    session_id = serializers.UUIDField(help_text="The session.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    moved = serializers.BooleanField(help_text="Whether it was moved.")
    starts_at = InstantField(help_text="When it is now, on the facility's clock.")
    practitioner_id = serializers.UUIDField(help_text="With whom it is now.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    mode = ModeField(help_text="The most that any of it may be now; `warnings` say what narrowed.")
    warnings = ReasonForm(many=True, help_text="Things to see to; they forbid nothing.")
    refusal = serializers.DictField(
        allow_null=True, help_text="Why it could not be moved: `code`, `detail`, `reasons`."
    )


class MovesOutputSerializer(RecordSerializer):
    """What became of each; the worst first."""

    still_without = serializers.IntegerField(
        help_text="Booked sessions to come that are still without a practitioner, or a place."
    )
    elsewhere = serializers.IntegerField(
        help_text="So many more at facilities that the caller does not see."
    )
    refused = serializers.IntegerField(help_text="So many of those asked for were not moved.")
    moved = serializers.IntegerField(help_text="So many were moved.")
    outcomes = MoveOutcomeOutputSerializer(many=True, help_text="Each, as it was asked for.")
