"""Readings, goals, posture findings and circumferences as they are sent and shown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rest_framework import serializers

from practice.core.terms import Role, Side
from practice.http.fields import (
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstantField,
    TextField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import shown_reasons
from practice.http.serializers import BoundOnce, RecordSerializer, StrictSerializer
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import PostureSeverity, SwellingStage
from sessions.measurements.domain.state import CircumferencesState
from sessions.measurements.domain.swelling import SwellingAdvice, SwellingBasis, SwellingEvaluation
from sessions.measurements.models import PostureFinding
from sessions.measurements.serializers.fields import OCCURRED_AT_HELP, NumberField, NumberListField


class PostureFindingInputSerializer(StrictSerializer):
    """A posture finding to be recorded."""

    example = {
        "finding": "rounded_shoulders",
        "severity": "mild",
        "side": "both",
        "description": "More on the left.",
    }

    finding = EnumField(PostureKind, help_text="What is seen, e.g. `rounded_shoulders`.")
    severity = EnumField(PostureSeverity, help_text="`none`, `mild`, `moderate` or `severe`.")
    side = EnumField(Side, required=False, help_text="`both` unless said otherwise.")
    description = TextField(
        required=False, allow_blank=True, max_length=500, help_text="In words; for `other` needed."
    )
    observer_id = serializers.UUIDField(
        required=False, help_text="Who saw it; yourself where left out."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it was seen."
    )
    occurred_at = LocalOrInstantField(required=False, help_text=OCCURRED_AT_HELP)
    confirmed_occurred_at = FlagField(
        required=False, help_text="true keeps a time before birth or years back."
    )


class PostureFindingOutputSerializer(BoundOnce, serializers.ModelSerializer[Any]):
    """A posture finding as recorded."""

    class Meta:
        model = PostureFinding
        exclude = ("client_id", "version")


class CircumferencesInputSerializer(StrictSerializer):
    """Circumferences of both arms to be recorded."""

    example = {
        "left": [16.5, 18.0, 20.5, 23.0, 25.0, 27.0],
        "right": [16.4, 17.8, 20.2, 22.6, 24.8, 26.9],
        "interval_cm": 4,
        "new_heaviness": False,
    }

    left = NumberListField(
        help_text="Circumferences of the left arm in cm from the wrist up, e.g. [16.5, 18]."
    )
    right = NumberListField(help_text="Circumferences of the right arm at the same points.")
    interval_cm = NumberField(help_text="Distance between two circumferences in cm, e.g. 4.")
    rater_id = serializers.UUIDField(
        required=False, help_text="Who measured; yourself where left out."
    )
    baseline = FlagField(required=False, help_text="Taken before the operation.")
    new_heaviness = FlagField(required=False, help_text="The client says the arm is newly heavy.")
    stage = EnumField(SwellingStage, required=False, help_text="ISL stage, e.g. `I`.")
    stage_side = EnumField(Side, required=False, help_text="The side of the stage.")
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which they were taken."
    )
    occurred_at = LocalOrInstantField(required=False, help_text=OCCURRED_AT_HELP)
    confirmed_occurred_at = FlagField(
        required=False, help_text="true keeps a time before birth or years back."
    )
    confirmed_unlikely = FlagField(
        required=False,
        help_text="true keeps circumferences out of line with their neighbours or the last ones.",
    )

    def to_command(self, **more: Any) -> dict[str, Any]:
        """What was sent, the circumferences of each arm as a tuple."""
        given = self.validated_data
        both = {"left": tuple(given["left"]), "right": tuple(given["right"])}
        return {**given, **both, **more}


class SwellingComparisonOutputSerializer(RecordSerializer):
    """The comparison of one arm with the other, and what it says."""

    side = EnumField(Side, help_text="The arm.")
    basis = EnumField(SwellingBasis, help_text="What it is compared with.")
    percent = serializers.FloatField(allow_null=True, help_text="Percent larger.")
    millilitres = serializers.FloatField(allow_null=True, help_text="mL more.")
    centimetres = serializers.FloatField(allow_null=True, help_text="Most cm more at one point.")


class CircumferencesOutputSerializer(RecordSerializer):
    """Circumferences, the volumes they make, and what they say."""

    id = serializers.UUIDField(help_text="Id of the set.")
    taken_at = InstantField(help_text="When they were taken.")
    session_id = serializers.UUIDField(allow_null=True, help_text="The session.")
    rater_id = serializers.UUIDField(help_text="Who measured.")
    interval_cm = serializers.FloatField(help_text="Distance between two circumferences, cm.")
    left = serializers.ListField(child=serializers.FloatField(), help_text="Left arm, cm.")
    right = serializers.ListField(child=serializers.FloatField(), help_text="Right arm, cm.")
    left_ml = serializers.FloatField(help_text="Volume of the left arm, mL.")
    right_ml = serializers.FloatField(help_text="Volume of the right arm, mL.")
    baseline = serializers.BooleanField(help_text="Before the operation.")
    new_heaviness = serializers.BooleanField(help_text="Newly heavy.")
    stage = EnumField(SwellingStage, allow_null=True, help_text="ISL stage.")
    stage_side = EnumField(Side, allow_null=True, help_text="Its side.")
    comparisons = SwellingComparisonOutputSerializer(
        many=True, help_text="The comparisons that may be made."
    )
    advice = EnumField(SwellingAdvice, help_text="`none`, `measure_again` or `refer`.")
    remeasure_in_weeks = serializers.IntegerField(allow_null=True, help_text="When again.")
    reasons = ReasonForm(many=True, help_text="Why.")


def serialize_circumferences(
    role: Role, circumferences: CircumferencesState, evaluated: SwellingEvaluation
) -> dict[str, Any]:
    """Circumferences with what they say."""
    measured = circumferences.measured
    return {
        "id": measured.circumferences_id,
        "taken_at": circumferences.occurred_at,
        "session_id": measured.session_id,
        "rater_id": measured.rater_id,
        "interval_cm": measured.interval_cm,
        "left": list(measured.left),
        "right": list(measured.right),
        "left_ml": round(evaluated.left_ml, 1),
        "right_ml": round(evaluated.right_ml, 1),
        "baseline": measured.baseline,
        "new_heaviness": measured.new_heaviness,
        "stage": measured.stage,
        "stage_side": measured.stage_side,
        "comparisons": _serialize_comparisons(evaluated),
        "advice": evaluated.advice,
        "remeasure_in_weeks": evaluated.remeasure_in_weeks,
        "reasons": shown_reasons(role, evaluated.reasons),
    }


def _serialize_comparisons(evaluated: SwellingEvaluation) -> Sequence[dict[str, Any]]:
    return [
        {
            "side": one.side,
            "basis": one.basis,
            "percent": _rounded(one.percent),
            "millilitres": _rounded(one.millilitres),
            "centimetres": _rounded(one.centimetres),
        }
        for one in evaluated.comparisons
    ]


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 1)
