"""Serializers of what was done besides stretching, and of starts and stops."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import SessionPart, Side
from practice.http.fields import EnumField, InstantField, TextField, WholeNumberField
from practice.http.serializers import StrictSerializer
from sessions.measurements.serializers.fields import NumberField
from sessions.notes.domain.terms import CardioMode
from sessions.notes.serializers.minutes import MINUTES_PER_DAY

MAX_LINES = 200
LINE_ID = "Id given by the device, a UUID."


class ResponseField(TextField):
    """What the client said of it."""

    def __init__(self, **kwargs: Any) -> None:
        told = "What the client said of it."
        super().__init__(
            required=False,
            allow_blank=True,
            allow_null=True,
            max_length=1000,
            help_text=told,
            **kwargs,
        )


class ChangedLine:
    """Beside a line's serializer: what a save leaves out of the line stays as it was said."""

    def get_fields(self) -> dict[str, Any]:
        """All but the id may be left out."""
        found: dict[str, Any] = super().get_fields()  # type: ignore[misc]
        for name, field in found.items():
            field.required = field.required and name == "line_id"
        return found


class RemovedLinesField(serializers.ListField):
    """Ids of lines that are taken out."""

    child = serializers.UUIDField()

    def __init__(self, **kwargs: Any) -> None:
        told = "Ids of such lines that are taken out."
        super().__init__(required=False, max_length=MAX_LINES, help_text=told, **kwargs)


class CardioWorkInputSerializer(StrictSerializer):
    """Cardio of one mode."""

    line_id = serializers.UUIDField(help_text=LINE_ID)
    mode = EnumField(CardioMode, help_text="E.g. `walking`.")
    minutes = WholeNumberField(
        min_value=1, max_value=MINUTES_PER_DAY, help_text="Whole minutes, e.g. 10."
    )
    heart_rate = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=20,
        max_value=250,
        help_text="Beats a minute, the highest seen, e.g. 112.",
    )
    exertion = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=10,
        help_text="As the client says it, 0-10, e.g. 5.",
    )
    response = ResponseField()


class StrengthWorkInputSerializer(StrictSerializer):
    """One strength exercise."""

    line_id = serializers.UUIDField(help_text=LINE_ID)
    exercise = TextField(max_length=120, help_text="Its name or code, e.g. `row with a band`.")
    side = EnumField(Side, required=False, help_text="`left`, `right` or `both`.")
    sets = WholeNumberField(min_value=1, max_value=50, help_text="E.g. 2.")
    repetitions = WholeNumberField(min_value=0, max_value=1000, help_text="In each set, e.g. 10.")
    load_kg = NumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=500,
        help_text="Kilograms in each repetition, e.g. 2.5; 0: the body alone.",
    )
    response = ResponseField()


class PartSpanInputSerializer(StrictSerializer):
    """A part of the session from its start to its stop."""

    line_id = serializers.UUIDField(help_text=LINE_ID)
    part = EnumField(SessionPart, help_text="E.g. `stretching`.")
    started_at = InstantField(help_text="E.g. `2026-03-09T09:35:00-07:00`.")
    stopped_at = InstantField(help_text="E.g. `2026-03-09T10:15:00-07:00`.")


class CardioChangeInputSerializer(ChangedLine, CardioWorkInputSerializer):
    """What changes of cardio of one mode."""


class StrengthChangeInputSerializer(ChangedLine, StrengthWorkInputSerializer):
    """What changes of one strength exercise."""


class SpanChangeInputSerializer(ChangedLine, PartSpanInputSerializer):
    """What changes of a part's start and stop."""
