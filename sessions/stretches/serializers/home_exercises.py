"""Stretches prescribed, re-checks, home exercises as they are sent and shown."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.reasons import Reason
from practice.core.terms import Role, Side
from practice.http.fields import (
    DayField,
    EnumField,
    TextField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import shown_reasons
from practice.http.serializers import BoundOnce, StrictSerializer, build_command
from sessions.catalogue.domain.terms import Dose
from sessions.stretches.models import HomeExercise
from sessions.stretches.serializers.doses import DoseInputSerializer


class HomeExerciseAssignInputSerializer(StrictSerializer):
    """A home exercise that was assigned."""

    example = {
        "stretch": "abduction_pattern",
        "side": "left",
        "dose": {
            "technique": "active_isolated",
            "repetitions": 10,
            "hold_seconds": 2,
            "sets": 1,
            "days_per_week": 3,
        },
        "stop_signs": ["sharp pain", "new swelling"],
        "assigned_on": "2026-03-09",
    }

    stretch = TextField(max_length=60, help_text="Code from the catalogue.")
    side = EnumField(Side, help_text="Side.")
    dose = DoseInputSerializer(help_text="Dose of `active_isolated`.")
    stop_signs = serializers.ListField(
        child=TextField(max_length=200),
        max_length=20,
        help_text="When to stop, e.g. [`sharp pain`].",
    )
    assigned_on = DayField(help_text="Day it was assigned, e.g. `2026-03-09`.")
    prescription_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The prescribed stretch it belongs to."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it was assigned."
    )
    assigned_by = serializers.UUIDField(
        required=False, help_text="Who assigned it; yourself where left out."
    )

    def to_command(self, **more: Any) -> dict[str, Any]:
        """What was sent, the dose as Dose and the signs as a tuple."""
        given = self.validated_data
        dose = build_command(Dose, given["dose"])
        return {**given, "dose": dose, "stop_signs": tuple(given["stop_signs"]), **more}


class HomeExerciseOutputSerializer(BoundOnce, serializers.ModelSerializer[Any]):
    """A home exercise: self-directed, with its version and signs to stop at."""

    class Meta:
        model = HomeExercise
        exclude = ("client_id", "version")


class AssignedHomeExerciseOutputSerializer(HomeExerciseOutputSerializer):
    """A home exercise that was just assigned."""

    warnings = ReasonForm(many=True, help_text="What is outside the usual dose.")


def serialize_assigned_home_exercise(
    role: Role, row: HomeExercise, warnings: list[Reason]
) -> dict[str, Any]:
    """A home exercise with what was unusual about its dose."""
    plain = HomeExerciseOutputSerializer(row).data
    return {**plain, "warnings": shown_reasons(role, warnings)}
