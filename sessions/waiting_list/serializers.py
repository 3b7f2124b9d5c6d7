"""Serializers of the waiting list."""

from __future__ import annotations

from datetime import time
from typing import Any

from rest_framework import serializers

from practice.http.examples import example_id
from practice.http.fields import (
    DayField,
    EnumField,
    InstantField,
    LocalOrInstantField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import RecordSerializer, StrictSerializer
from practice.people_and_places.name_fields import NameBesideId
from sessions.booking.serializers.freed import WaitingFitOutputSerializer
from sessions.calendar.domain.terms import SessionPurpose
from sessions.waiting_list.domain.commands import AddToWaitingList, FreeTimeRequest
from sessions.waiting_list.domain.state import OfferAnswer, WaitingStatus


class WaitingAddInputSerializer(StrictSerializer):
    """What suits a client who waits for a time; what is left out suits always."""

    command = AddToWaitingList
    example = {
        "minutes": 60,
        "weekdays": [2, 4],
        "earliest": "09:00",
        "latest": "12:30",
        "first_day": "2026-03-09",
        "last_day": "2026-04-30",
        "note": "Can come at an hour's notice.",
    }

    minutes = WholeNumberField(
        required=False,
        min_value=1,
        max_value=1440,
        help_text="Length wanted, e.g. 60; left out, the usual one of the kind.",
    )
    kind_id = serializers.UUIDField(
        required=False,
        help_text="A kind of session of the practice: length, purpose and mode follow from it.",
    )
    purpose = EnumField(
        SessionPurpose, required=False, help_text="What for, e.g. `evaluation`; else `treatment`."
    )
    facility_ids = serializers.ListField(
        child=serializers.UUIDField(),
        required=False,
        max_length=100,
        help_text="Where; left out, wherever the client is known.",
    )
    weekdays = serializers.ListField(
        child=WholeNumberField(min_value=1, max_value=7),
        required=False,
        max_length=7,
        help_text="On which weekdays; Monday is 1.",
    )
    earliest = serializers.TimeField(
        required=False, help_text="Not before this time of the facility's clock, e.g. `09:00`."
    )
    latest = serializers.TimeField(
        required=False, help_text="Over by this time of the facility's clock, e.g. `12:30`."
    )
    first_day = DayField(required=False, help_text="Not before this local day.")
    last_day = DayField(required=False, help_text="Not after this local day.")
    note = TextField(
        required=False, allow_blank=True, max_length=500, help_text="What else was said of it."
    )

    def to_command(self, **more: Any) -> AddToWaitingList:
        """The request of the validated input."""
        lists = {
            name: tuple(self.validated_data.get(name, ())) for name in ("facility_ids", "weekdays")
        }
        return AddToWaitingList(**{**self.validated_data, **lists, **more})


def _check_named_alone(named: set[str]) -> bool:
    """Whether a session or a class is named; ValidationError where more is named with it."""
    found = named & {"free_session_id", "class_id"}
    if found and len(named) > 1:
        says = "Name the session or the class alone, or the time without it."
        raise serializers.ValidationError({name: [says] for name in found})
    return bool(found)


class WaitingOfferInputSerializer(StrictSerializer):
    """The time that is offered: that of a session which was called off, a place in a class, or one
    that is named."""

    command = FreeTimeRequest
    example = {
        "practitioner_id": example_id("practitioner"),
        "facility_id": example_id("facility"),
        "starts_at": {"local": "2026-03-17T10:00"},
    }

    free_session_id = serializers.UUIDField(
        required=False, help_text="The session whose time came free; instead of all others."
    )
    class_id = serializers.UUIDField(
        required=False, help_text="A place in this class; instead of all others."
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="With whom.")
    facility_id = serializers.UUIDField(required=False, help_text="Where.")
    room_id = serializers.UUIDField(required=False, allow_null=True, help_text="A room there.")
    starts_at = LocalOrInstantField(
        required=False, help_text="Start; the length is the one that is waited for."
    )
    overrule = TextField(
        required=False,
        max_length=500,
        help_text="Why it is to be although the place is closed or the practitioner absent then.",
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """One or the other, and all of it."""
        _check_named_alone({name for name in attrs if name != "overrule"})
        return attrs


class WaitingDeclineInputSerializer(StrictSerializer):
    """The client does not take the time."""

    example = {"reason": "At work then."}

    reason = TextField(
        required=False, allow_blank=True, max_length=500, help_text="Why, if it was said."
    )


class WaitingWithdrawInputSerializer(StrictSerializer):
    """The client waits no more."""

    example = {"reason": "Found a time elsewhere."}

    reason = TextField(max_length=500, help_text="Why, e.g. `Goes on with it at home.`")


class WaitingFitsQueryInputSerializer(StrictSerializer):
    """A time that is free."""

    free_session_id = serializers.UUIDField(
        required=False, help_text="The session whose time came free; instead of all others."
    )
    class_id = serializers.UUIDField(
        required=False, help_text="A place in this class; instead of all others."
    )
    practitioner_id = serializers.UUIDField(required=False, help_text="With whom.")
    facility_id = serializers.UUIDField(required=False, help_text="Where.")
    room_id = serializers.UUIDField(required=False, help_text="The room, if one is needed.")
    starts_at = InstantField(required=False, help_text="Its start, `2026-03-17T10:00:00-04:00`.")
    minutes = WholeNumberField(
        required=False, min_value=1, max_value=1440, help_text="So long it is free, e.g. 60."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """One or the other, and all of it."""
        if _check_named_alone(set(attrs)):
            return attrs
        needed = ("practitioner_id", "facility_id", "starts_at", "minutes")
        missing = [name for name in needed if name not in attrs]
        if missing:
            says = "Name the session whose time it is, or practitioner, facility, start and length."
            raise serializers.ValidationError({name: [says] for name in missing})
        return attrs


class WaitingFitListOutputSerializer(RecordSerializer):
    """Who may have a free time."""

    results = WaitingFitOutputSerializer(many=True, help_text="Longest waiting first.")
    more = serializers.BooleanField(help_text="Not all who wait were looked at.")


class WaitingOfferOutputSerializer(RecordSerializer):
    """A time that was offered, and what became of it."""

    offer_id = serializers.UUIDField(help_text="Id of the offer.")
    practitioner_id = serializers.UUIDField(help_text="With whom.")
    practitioner_name = NameBesideId("practitioner")
    facility_id = serializers.UUIDField(help_text="Where.")
    facility_name = NameBesideId("facility")
    room_id = serializers.UUIDField(allow_null=True, help_text="The room, if one is needed.")
    room_name = NameBesideId("room")
    starts_at = InstantField(help_text="Its start on the facility's clock with its offset.")
    ends_at = InstantField(help_text="Its end on the facility's clock with its offset.")
    offered_at = serializers.DateTimeField(help_text="When it was offered.")
    offered_by = serializers.UUIDField(help_text="Who offered it.")
    class_id = serializers.UUIDField(
        allow_null=True, help_text="The class in which it is a place; null: a session of its own."
    )
    overruled = serializers.CharField(
        help_text="Why it is to be although the place is closed or the practitioner absent; or "
        "empty."
    )
    answer = EnumField(OfferAnswer, help_text="What became of it, e.g. `open` or `declined`.")
    answered_at = serializers.DateTimeField(allow_null=True, help_text="When that was entered.")
    answered_by = serializers.UUIDField(allow_null=True, help_text="Who entered it.")
    reason = serializers.CharField(help_text="Why it was declined; may be empty.")


class WaitingOutputSerializer(RecordSerializer):
    """An entry of the waiting list."""

    id = serializers.UUIDField(help_text="Id of the entry.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="The client's name; empty after an erasure.")
    client_phone = serializers.CharField(help_text="The client's phone; may be empty.")
    client_contact_by = serializers.CharField(help_text="How the client wants to be reached.")
    asked_at = serializers.DateTimeField(help_text="Since when the client waits.")
    status = EnumField(WaitingStatus, help_text="`waiting`, `booked` or `withdrawn`.")
    minutes = serializers.IntegerField(help_text="Length wanted, in minutes.")
    purpose = EnumField(SessionPurpose, help_text="What for, e.g. `treatment`.")
    kind_id = serializers.UUIDField(
        allow_null=True, help_text="The practice's kind of session, where it was named."
    )
    kind_name = serializers.CharField(help_text="That kind's name then; empty without one.")
    facility_ids = serializers.ListField(
        child=serializers.UUIDField(), help_text="Where; empty: wherever the client is known."
    )
    weekdays = serializers.ListField(
        child=serializers.IntegerField(), help_text="Weekdays, Monday 1; empty: any."
    )
    earliest = serializers.TimeField(allow_null=True, help_text="Not before this time of day.")
    latest = serializers.TimeField(allow_null=True, help_text="Over by this time of day.")
    first_day = serializers.DateField(allow_null=True, help_text="Not before this local day.")
    last_day = serializers.DateField(allow_null=True, help_text="Not after this local day.")
    note = serializers.CharField(help_text="What else was said of it; may be empty.")
    offers = WaitingOfferOutputSerializer(many=True, help_text="What was offered, in order.")
    session_id = serializers.UUIDField(allow_null=True, help_text="The session that was booked.")
    ended_reason = serializers.CharField(help_text="Why the client waits no more; may be empty.")


class WaitingOfferedOutputSerializer(WaitingOutputSerializer):
    """An entry of the waiting list with a new offer."""

    warnings = ReasonForm(
        many=True,
        help_text="What a booking of the offered time would be warned of, e.g."
        " `not_as_waited_for`: it is not what the client said suits them.",
    )


def clock_time(minute: int | None) -> time | None:
    """A time of day from minutes after midnight; None where nothing was said."""
    return None if minute is None else time(minute // 60, minute % 60)
