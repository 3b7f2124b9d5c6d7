"""Readings, goals, posture findings and circumferences as they are sent and shown."""

from __future__ import annotations

from math import isfinite
from typing import Any

from rest_framework import serializers

from practice.http.fields import TextField
from practice.http.problems import ReasonSerializer
from practice.http.serializers import RecordSerializer, StrictSerializer

OCCURRED_AT_HELP = (
    "When it happened, if it is entered later: instant with offset, or `local` time on the clock of"
    " the session's facility if one is named, else of the client's first facility that you see."
)


class NumberField(serializers.FloatField):
    """A number of JSON."""

    def to_internal_value(self, data: Any) -> Any:
        """The number; 400 for text, flags and what is no number."""
        if isinstance(data, bool) or not isinstance(data, int | float) or not isfinite(data):
            raise serializers.ValidationError("Give a number, e.g. 7.5.")
        return super().to_internal_value(data)


class NumberListField(serializers.ListField):
    """Circumferences in cm as numbers of JSON."""

    child = serializers.FloatField()

    def to_internal_value(self, data: Any) -> list[float]:
        """The numbers; 400 for text, flags and what is no number."""
        plain = isinstance(data, list) and all(
            isinstance(one, int | float) and not isinstance(one, bool) and isfinite(one)
            for one in data
        )
        if not plain:
            raise serializers.ValidationError("Give a list of numbers in cm, e.g. [16.5, 18, 21].")
        return [float(one) for one in super().to_internal_value(data)]


class EnteredInErrorInputSerializer(StrictSerializer):
    """Why something must not count."""

    example = {"reason": "wrong side"}

    reason = TextField(max_length=500, help_text="Why, e.g. `wrong side`.")


class EnteredInErrorOutputSerializer(RecordSerializer):
    """What a correction leaves to see to."""

    warnings = ReasonSerializer(
        many=True, help_text="E.g. a discharge that rests on what was entered in error."
    )
