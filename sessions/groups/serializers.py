"""Serializers of classes: what is asked, a class with its places, what became of each."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.record.serializers import RecordedByOutputSerializer
from practice.http.examples import example_id
from practice.http.fields import (
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstantField,
    NameField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.booking.serializers.freed import WaitingFitsOutputSerializer
from sessions.booking.serializers.sessions import (
    SessionOutputSerializer,
    SessionTimeInputSerializer,
)
from sessions.booking.services.requests import RequestedTime
from sessions.calendar.domain.session_state import SessionStatus
from sessions.groups.domain.outcomes import PlaceResult
from sessions.groups.place_serializers import LatePlaceInputSerializer, late_place
from sessions.groups.services.classes import ClassMoveRequest, ClassRequest

MOST_LATE_PLACES = 100
_TIME_FIELDS = ("starts_at", "ends_at", "minutes")


class ClassInputSerializer(SessionTimeInputSerializer):
    """A class to be made, or one that took place."""

    example = {
        "title": "Strength and balance",
        "practitioner_id": example_id("practitioner"),
        "facility_id": example_id("facility"),
        "room_id": example_id("room"),
        "starts_at": {"local": "2026-03-18T11:00"},
        "minutes": 45,
        "capacity": 6,
    }

    title = NameField(max_length=80, help_text="What it is called, e.g. `Strength and balance`.")
    practitioner_id = serializers.UUIDField(help_text="Who leads it.")
    facility_id = serializers.UUIDField(help_text="The facility; its zone decides the day.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="A room there.")
    capacity = WholeNumberField(
        min_value=1, max_value=1000, help_text="How many places; at most `groups.most_places`."
    )
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why it is to be although the place is closed or the practitioner absent then.",
    )

    places = serializers.ListField(
        child=LatePlaceInputSerializer(),
        required=False,
        min_length=1,
        max_length=MOST_LATE_PLACES,
        help_text="Only for a class that took place: who had a place, and whether they came.",
    )

    def to_command(self, **more: Any) -> ClassRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        given["places"] = tuple(late_place(dict(one)) for one in given.pop("places", ()))
        when = RequestedTime(**{name: given.pop(name) for name in _TIME_FIELDS if name in given})
        return ClassRequest(when=when, **given, **more)


class ClassMoveInputSerializer(StrictSerializer):
    """Another time, practitioner or room for a class and every place in it."""

    example = {
        "starts_at": {"local": "2026-03-18T14:00"},
        "reason": "The room is painted that morning.",
        "cancel_who_cannot": True,
    }

    starts_at = LocalOrInstantField(
        required=False, help_text="The new start; alone it keeps the length."
    )
    ends_at = LocalOrInstantField(required=False, help_text="The new end; instead of `minutes`.")
    minutes = WholeNumberField(
        required=False, min_value=1, max_value=1440, help_text="Length in minutes, e.g. 45."
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="Another practitioner.")
    room_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="Another room; null: none."
    )
    reason = TextField(max_length=500, help_text="Why, e.g. `The room is painted that morning.`")
    cancel_who_cannot = FlagField(
        required=False,
        help_text="true: the places of those who cannot come along are called off by the practice;"
        " else nothing is moved then, and 409 names them.",
    )
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why it is to be although the place is closed or the practitioner absent then.",
    )

    def to_command(self, **more: Any) -> ClassMoveRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        timed = {name: given.pop(name) for name in _TIME_FIELDS if name in given}
        if timed and "starts_at" not in timed:
            raise serializers.ValidationError({"starts_at": ["Give the start with the length."]})
        return ClassMoveRequest(
            when=RequestedTime(**timed) if timed else None,
            keep_room="room_id" not in given,
            **given,
            **more,
        )


class ClassCancelInputSerializer(StrictSerializer):
    """Why a class is called off."""

    example = {"reason": "Too few came forward."}

    reason = TextField(max_length=500, help_text="Why, e.g. `Too few came forward.`")


class ClassDetailsInputSerializer(StrictSerializer):
    """Another title or another number of places."""

    example = {"title": "Balance", "capacity": 8}

    title = NameField(required=False, max_length=80, help_text="What it is called, e.g. `Balance`.")
    capacity = WholeNumberField(
        required=False,
        min_value=1,
        max_value=1000,
        help_text="How many places; not fewer than are taken, at most `groups.most_places`.",
    )


class EnteredLateOutputSerializer(RecordSerializer):
    """When a class that had taken place was entered, and by whom."""

    recorded_at = serializers.DateTimeField(help_text="When it was entered.")
    recorded_by = RecordedByOutputSerializer(help_text="Who entered it.")


class ClassOutputSerializer(RecordSerializer):
    """A class and how many places are left."""

    id = serializers.UUIDField(help_text="Id of the class.")
    revision = serializers.IntegerField(help_text="Counts changes; its ETag.")
    title = serializers.CharField(help_text="What it is called.")
    practitioner_id = serializers.UUIDField(help_text="Who leads it.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    facility_id = serializers.UUIDField(help_text="The facility.")
    facility_name = serializers.CharField(help_text="Its name.")
    room_id = serializers.UUIDField(allow_null=True, help_text="The room, if one is taken.")
    room_name = serializers.CharField(help_text="Its name; empty without a room.")
    starts_at = InstantField(help_text="Start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="End on the facility's clock with its offset.")
    local_date = serializers.DateField(help_text="The local day it starts on.")
    zone = serializers.CharField(help_text="The facility's zone, e.g. `America/New_York`.")
    capacity = serializers.IntegerField(help_text="How many places there are.")
    places_taken = serializers.IntegerField(help_text="How many are taken.")
    places_free = serializers.IntegerField(
        help_text="How many are left; 0 where the class is called off."
    )
    overruled = serializers.CharField(
        help_text="Why it stands although the place was closed, or the practitioner absent."
    )
    entered_late = EnteredLateOutputSerializer(
        allow_null=True,
        help_text="It was entered after it took place, and so was each place then; null: it was"
        " made ahead.",
    )
    is_cancelled = serializers.BooleanField(help_text="true: it is called off.")
    ended_reason = serializers.CharField(help_text="Why it was called off; or empty.")


class PlaceOutputSerializer(RecordSerializer):
    """A place that is taken."""

    session_id = serializers.UUIDField(help_text="The client's own session.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name; empty after an erasure.")
    client_phone = serializers.CharField(help_text="The client's phone; may be empty.")
    status = EnumField(SessionStatus, help_text="Where it stands, e.g. `booked`.")
    mode = ModeField(help_text="The most that any of it may be: `self_directed` or `not_today`.")
    flagged = serializers.BooleanField(help_text="It narrowed since it was planned.")


class ClassDetailOutputSerializer(ClassOutputSerializer):
    """A class with who is in it."""

    places = PlaceOutputSerializer(many=True, help_text="The places that are taken.")


class ClassMadeOutputSerializer(ClassOutputSerializer):
    """A new class, with what it is warned of."""

    warnings = ReasonForm(many=True, help_text="Things to see to; they forbid nothing.")


class ClassEnteredOutputSerializer(ClassMadeOutputSerializer):
    """A new class, or one that took place, with the session of each place."""

    places = SessionOutputSerializer(
        many=True,
        help_text="Of a class that took place: each client's own session, with what was permitted"
        " that day and what it is warned of.",
    )


class PlaceRefusalOutputSerializer(RecordSerializer):
    """Why a place could not come along."""

    code = serializers.CharField(help_text="Stable word, e.g. `time_taken`.")
    detail = serializers.CharField(help_text="The same in a sentence.")
    reasons = ReasonForm(many=True, help_text="Rules with their sources.")


class PlaceOutcomeOutputSerializer(RecordSerializer):
    """What became of one client's place."""

    result = EnumField(
        PlaceResult, help_text="`moved`, `cancelled`, or `refused`: called off instead."
    )
    session_id = serializers.UUIDField(help_text="The client's session.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name.")
    client_phone = serializers.CharField(help_text="The client's phone; may be empty.")
    warnings = ReasonForm(many=True, help_text="What the new time is warned of.")
    refusal = PlaceRefusalOutputSerializer(
        allow_null=True, help_text="Why the client could not come along."
    )


class ClassChangedOutputSerializer(ClassMadeOutputSerializer):
    """A class after it was moved or called off, and what became of each place."""

    outcomes = PlaceOutcomeOutputSerializer(many=True, help_text="By place.")
    waiting_fits = WaitingFitsOutputSerializer(
        help_text="Who on the waiting list may have the time that came free, for a session alone."
    )


class ClassDetailsOutputSerializer(ClassOutputSerializer):
    """A class after its title or number of places changed."""

    waiting_fits = WaitingFitsOutputSerializer(
        help_text="Who on the waiting list may have one of the places that were added."
    )


class PlaceBookedOutputSerializer(RecordSerializer):
    """A place that was given, and how many are left."""

    session = SessionOutputSerializer(help_text="The client's own session.")
    title = serializers.CharField(help_text="What the class is called.")
    places_taken = serializers.IntegerField(help_text="How many are taken now.")
    places_free = serializers.IntegerField(help_text="How many are left.")
