"""Serializers of the day sheet."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.http.fields import DayField, EnumField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.calendar.domain.session_state import SessionStatus
from sessions.desk.domain.day_sheet import DeskVerdict


class DaySheetQuerySerializer(StrictSerializer):
    """Whose day, and which."""

    facility_id = serializers.UUIDField(required=False, help_text="The day of a facility.")
    practitioner_id = serializers.UUIDField(
        required=False, help_text="The day of a practitioner; alone, at all of their places."
    )
    day = DayField(required=False, help_text="The local day, `2026-03-09`; default today there.")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Raises ValidationError where nobody's day is asked for."""
        if not {"facility_id", "practitioner_id"} & attrs.keys():
            raise serializers.ValidationError(
                {"facility_id": ["Give a facility, a practitioner or both."]}
            )
        return attrs


class DaySheetSessionOutputSerializer(RecordSerializer):
    """A session of the day; what is empty or false is left out."""

    id = serializers.UUIDField(help_text="Id of the session.")
    at = serializers.CharField(help_text="Local time of its start, `09:30`.")
    client = serializers.CharField(required=False, help_text="The client's name.")
    phone = serializers.CharField(required=False, help_text="The client's phone in E.164.")
    guardian = serializers.CharField(
        required=False,
        help_text="Who decides for the client that day, and their phone: whom to ask and call.",
    )
    room = serializers.CharField(required=False, help_text="The room's name.")
    place = serializers.CharField(
        required=False, help_text="Key of the facility in `places`; left out on a facility's sheet."
    )
    hands_on = EnumField(
        DeskVerdict,
        required=False,
        help_text="How much is by hand: `all`, `part`, `nothing`, or `fetch`: fetch the "
        "practitioner before anything is done. Left out once it is over.",
    )
    missing = serializers.ListField(
        child=serializers.CharField(),
        required=False,
        help_text="Short codes of what is missing or to be seen to; each stands in `texts`.",
    )
    confirmed = serializers.BooleanField(
        required=False, help_text="The client said that they come."
    )
    status = EnumField(
        SessionStatus, required=False, help_text="Where it stands, if it is not just booked."
    )

    def get_fields(self) -> dict[str, Any]:
        """With ``with`` and ``class``, which are no names in code."""
        fields = super().get_fields()
        fields["class"] = serializers.CharField(
            required=False, help_text="The title of the class in which it is a place."
        )
        fields["with"] = serializers.CharField(
            help_text="Key of the practitioner in `people`, `p1`."
        )
        return fields


class DaySheetOutputSerializer(RecordSerializer):
    """A day at a glance."""

    day = serializers.DateField(help_text="The local day.")
    zone = serializers.CharField(help_text="The facility's zone, or the practice's.")
    headline = serializers.CharField(
        help_text="The worst of the day in a few words. What cannot be held as it is booked, such"
        " as with a practitioner who is absent, is counted as that."
    )
    sessions = DaySheetSessionOutputSerializer(many=True, help_text="By start.")
    people = serializers.DictField(
        child=serializers.CharField(), help_text="The practitioners' names by their keys."
    )
    places = serializers.DictField(
        child=serializers.CharField(), help_text="The facilities' names by their keys."
    )
    texts = serializers.DictField(
        child=serializers.CharField(),
        help_text="By its code, what is missing and whom to ask for it.",
    )
