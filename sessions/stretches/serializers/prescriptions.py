"""Stretches prescribed, re-checks, home exercises as they are sent and shown."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.reasons import Reason
from practice.core.terms import Role, Side, Technique
from practice.http.examples import example_id
from practice.http.fields import (
    EnumField,
    FlagField,
    LocalOrInstantField,
    TextField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import shown_reasons
from practice.http.serializers import BoundOnce, StrictSerializer, build_command
from sessions.catalogue.domain.terms import Dose, PostureKind
from sessions.measurements.serializers.fields import OCCURRED_AT_HELP
from sessions.stretches.domain.prescription_state import StretchStatus
from sessions.stretches.models import Prescription
from sessions.stretches.selectors.prescriptions import GoalProgress
from sessions.stretches.serializers.doses import DoseInputSerializer


class StretchPrescribeInputSerializer(StrictSerializer):
    """A stretch to be prescribed."""

    example = {
        "stretch": "abduction_pattern",
        "side": "left",
        "techniques": ["active_isolated"],
        "doses": [{"technique": "active_isolated", "repetitions": 10, "hold_seconds": 2}],
        "facility_id": example_id("facility"),
        "reason": "abduction is short of its goal",
    }

    stretch = TextField(max_length=60, help_text="Code from the catalogue: `abduction_pattern`.")
    side = EnumField(Side, help_text="`left`, `right`, or `both` for a stretch of both at once.")
    techniques = serializers.ListField(
        child=EnumField(Technique),
        required=False,
        max_length=3,
        help_text="Techniques; the catalogue's first where left out.",
    )
    doses = DoseInputSerializer(
        many=True, required=False, help_text="Doses; the catalogue's where left out."
    )
    findings = serializers.ListField(
        child=EnumField(PostureKind),
        required=False,
        max_length=7,
        help_text="Posture findings that it is to correct.",
    )
    eases_pain = FlagField(required=False, help_text="It is also to ease pain.")
    facility_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="Where the re-checks will be held."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it was prescribed."
    )
    reason = TextField(required=False, allow_blank=True, max_length=1000, help_text="Why.")
    occurred_at = LocalOrInstantField(required=False, help_text=OCCURRED_AT_HELP)

    def to_command(self, **more: Any) -> dict[str, Any]:
        """What was sent, doses as Dose and lists as tuples."""
        given = dict(self.validated_data)
        for name in ("techniques", "findings"):
            if name in given:
                given[name] = tuple(given[name])
        if "doses" in given:
            given["doses"] = tuple(build_command(Dose, one) for one in given["doses"])
        return {**given, **more}


class PrescriptionOutputSerializer(BoundOnce, serializers.ModelSerializer[Any]):
    """A stretch prescribed to a client."""

    status = EnumField(StretchStatus, help_text="prescribed, active, discharged or ended.")
    discharge_proposed = serializers.BooleanField(help_text="All is at goal: discharge?")
    short_of_goal = serializers.ListField(
        child=serializers.CharField(), help_text="What is short of its goal."
    )
    missing = serializers.ListField(child=serializers.CharField(), help_text="What to measure.")
    prompts = ReasonForm(many=True, help_text="E.g. to review it or refer.")
    warnings = ReasonForm(
        many=True,
        help_text="When prescribed: doses outside the usual, techniques not permitted now and why.",
    )

    class Meta:
        model = Prescription
        exclude = ("version",)


_COLUMN_FIELDS = [
    name
    for name in PrescriptionOutputSerializer().get_fields()
    if name not in {"discharge_proposed", "short_of_goal", "missing", "prompts", "warnings"}
]


def serialize_prescription(
    role: Role,
    row: Prescription,
    status: GoalProgress | None,
    warnings: list[Reason] | None = None,
) -> dict[str, Any]:
    """A stretch with where it stands against its goals."""
    found = status or GoalProgress(discharge_proposed=False)
    shown = {
        **{name: getattr(row, name) for name in _COLUMN_FIELDS},
        "discharge_proposed": found.discharge_proposed,
        "short_of_goal": found.short_of_goal,
        "missing": found.missing,
        "prompts": shown_reasons(role, found.prompts),
        "warnings": shown_reasons(role, warnings or []),
    }
    return dict(PrescriptionOutputSerializer(shown).data)


class StretchStartInputSerializer(StrictSerializer):
    """The client has begun."""

    example = {"session_id": example_id("session")}

    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it began."
    )
    occurred_at = LocalOrInstantField(required=False, help_text=OCCURRED_AT_HELP)


class StretchDischargeInputSerializer(StrictSerializer):
    """Discharge from a stretch."""

    example = {
        "facility_id": example_id("facility"),
        "reason": "Reaches the upper shelf without pain.",
    }

    facility_id = serializers.UUIDField(
        required=False,
        help_text="Where the re-checks are held; the stretch's own where left out.",
    )
    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=1000,
        help_text="Why; needed where a reading at goal is missing.",
    )
    occurred_at = LocalOrInstantField(required=False, help_text=OCCURRED_AT_HELP)
