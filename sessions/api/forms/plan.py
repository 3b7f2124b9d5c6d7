"""A session's plan as a practitioner reads it."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.api.fields import EnumField, InstantField
from practice.domain.terms import Instrument, Motion, Movement, Part, Role, Side, Technique
from sessions.api.forms.arrival import shown_answers
from sessions.api.forms.calendar import SessionForm, shown_session
from sessions.api.forms.permissions import (
    JudgementForm,
    VerdictForm,
    shown_judgement,
    shown_verdict,
)
from sessions.api.forms.shared import ModeField, ReasonForm, shown_reasons
from sessions.api.forms.split import GateForm, shown_gates
from sessions.selectors.hour import SessionSplit
from sessions.selectors.plan import Plan, PlannedStretch


class PlannedTechniqueForm(serializers.Serializer[Any]):
    """One technique of a stretch today."""

    technique = EnumField(Technique, help_text="E.g. `active_isolated`.")
    mode = ModeField(help_text="The most it may be today, on the worse side.")
    verdicts = VerdictForm(many=True, help_text="Side by side, with every reason.")


class PlannedStretchForm(serializers.Serializer[Any]):
    """A stretch that she is on."""

    prescription_id = serializers.UUIDField(help_text="Id on her programme.")
    stretch = serializers.CharField(help_text="Code of the catalogue, e.g. `chest_arms_out`.")
    name = serializers.CharField(help_text="Its name.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    standing = serializers.CharField(help_text="`prescribed` or `active`.")
    doses = serializers.JSONField(help_text="How much, by technique.")
    techniques = PlannedTechniqueForm(many=True, help_text="What may be done today.")


class LastReadingForm(serializers.Serializer[Any]):
    """The last reading of a movement."""

    reading_id = serializers.UUIDField(help_text="Its id.")
    movement = EnumField(Movement, help_text="E.g. `shoulder_flexion`.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    motion = EnumField(Motion, help_text="`active` or `passive`.")
    degrees = serializers.IntegerField(help_text="Whole degrees, e.g. 150.")
    instrument = EnumField(Instrument, help_text="E.g. `goniometer`.")
    pain = serializers.IntegerField(allow_null=True, help_text="0-10 while measured.")
    taken_at = InstantField(help_text="When it was taken.")


class PartForm(serializers.Serializer[Any]):
    """One part of the hour."""

    part = EnumField(Part, help_text="E.g. `stretching`.")
    minutes = serializers.IntegerField(help_text="Whole minutes, e.g. 35.")
    payable = serializers.BooleanField(allow_null=True, help_text="Whether the payer pays.")
    note = serializers.CharField(help_text="What it is, e.g. `easy walking`.")


class PlannedSplitForm(serializers.Serializer[Any]):
    """How the hour might be split; the practitioner's own split wins."""

    booked_minutes = serializers.IntegerField(help_text="Length of the session, e.g. 60.")
    suggested = PartForm(many=True, help_text="The suggestion; sums to the length.")
    reasons = ReasonForm(many=True, help_text="Why it is suggested so.")
    gates = GateForm(
        many=True, help_text="Limb by limb: whether it is past its gate for load, and why not."
    )
    own = serializers.DictField(
        child=serializers.IntegerField(), allow_null=True, help_text="Her own split, by part."
    )
    own_reason = serializers.CharField(help_text="Why she split it so.")


class PlanForm(serializers.Serializer[Any]):
    """What a practitioner looks at when the session opens."""

    session = SessionForm(help_text="The session.")
    answers = serializers.JSONField(help_text="The arrival answers; null before.")
    judgement = JudgementForm(help_text="What may be done hands-on today and why not the rest.")
    stretches = PlannedStretchForm(many=True, help_text="The stretches she is on.")
    readings = LastReadingForm(many=True, help_text="The last readings.")
    split = PlannedSplitForm(help_text="How the hour might be split.")
    warnings = ReasonForm(
        many=True,
        help_text="On the order: preparation, neck, arms for someone at risk of arm swelling.",
    )


def shown_plan(role: Role, plan: Plan) -> Any:
    """A plan as one role may read it."""
    return PlanForm(
        {
            "session": shown_session(role, plan.row),
            "answers": shown_answers(plan.session.answers),
            "judgement": shown_judgement(role, plan.judgement),
            "stretches": [_stretch(role, one) for one in plan.stretches],
            "readings": [
                {"reading_id": one.pk, **{n: getattr(one, n) for n in _READING}}
                for one in plan.readings
            ],
            "split": _split(role, plan.split),
            "warnings": shown_reasons(role, plan.warnings),
        }
    ).data


_READING = ("movement", "side", "motion", "degrees", "instrument", "pain", "taken_at")


def _stretch(role: Role, planned: PlannedStretch) -> dict[str, Any]:
    row = planned.row
    return {
        "prescription_id": row.pk,
        "stretch": row.stretch,
        "name": row.name,
        "side": row.side,
        "standing": row.standing,
        "doses": row.doses,
        "techniques": [
            {
                "technique": one.technique,
                "mode": one.mode,
                "verdicts": [shown_verdict(role, verdict) for verdict in one.verdicts],
            }
            for one in planned.techniques
        ],
    }


def _split(role: Role, split: SessionSplit) -> dict[str, Any]:
    own = split.own
    return {
        "booked_minutes": split.suggested.booked_minutes,
        "suggested": split.suggested.parts,
        "reasons": shown_reasons(role, split.suggested.reasons),
        "gates": shown_gates(role, split.suggested),
        "own": {one.part.value: one.minutes for one in own.minutes} if own else None,
        "own_reason": own.reason if own else "",
    }
