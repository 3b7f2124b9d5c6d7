"""Serializers of a place in a class: one that is wanted, or that somebody had."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Mode
from practice.http.examples import example_id
from practice.http.fields import EnumField
from practice.http.reasons import ModeField
from practice.http.serializers import StrictSerializer
from sessions.booking.domain.commands import Attendance
from sessions.booking.serializers.arrival import ArrivalAnswersInputSerializer
from sessions.groups.services.late import LatePlace
from sessions.groups.services.places import PlaceRequest


class LatePlaceInputSerializer(StrictSerializer):
    """A client who had a place in a class that took place."""

    client_id = serializers.UUIDField(help_text="The client.")
    attendance = EnumField(Attendance, help_text="`attended` or `no_show`.")
    answers = ArrivalAnswersInputSerializer(
        required=False, help_text="What they answered on arrival, as far as it is known."
    )


def late_place(given: dict[str, Any]) -> LatePlace:
    """The place of one validated item."""
    answers = given.pop("answers", None)
    if answers is not None:
        given["answers"] = ArrivalAnswersInputSerializer.to_answers(answers)
    return LatePlace(**given)


class PlaceInputSerializer(StrictSerializer):
    """A client who wants a place, or had one."""

    example = {"client_id": example_id("client")}

    client_id = serializers.UUIDField(help_text="The client.")
    requested_mode = ModeField(
        required=False,
        help_text=f"Left out, or `{Mode.SELF_DIRECTED.value}`: nothing is by hand in a class.",
    )
    attendance = EnumField(
        Attendance,
        required=False,
        help_text="Only for a class that took place: `attended` or `no_show`.",
    )
    answers = ArrivalAnswersInputSerializer(
        required=False, help_text="Only for a class that took place: what was answered."
    )

    def to_command(self, **more: Any) -> PlaceRequest:
        """The request of the validated input."""
        given = dict(self.validated_data)
        answers = given.pop("answers", None)
        if answers is not None:
            if "attendance" not in given:
                told = "Only for a class that took place; else take them on arrival."
                raise serializers.ValidationError({"answers": [told]})
            given["answers"] = ArrivalAnswersInputSerializer.to_answers(answers)
        return PlaceRequest(**given, **more)
