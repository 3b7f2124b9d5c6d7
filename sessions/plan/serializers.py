"""A session's plan as a practitioner reads it."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rest_framework import serializers

from practice.core.terms import Instrument, MotionType, Movement, Role, SessionPart, Side, Technique
from practice.http.fields import EnumField, InstantField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField, shown_reasons
from practice.http.serializers import RecordSerializer
from sessions.assessment.serializers import (
    SessionPermissionsOutputSerializer,
    StretchPermissionOutputSerializer,
    serialize_session_permissions,
    serialize_stretch_permission,
)
from sessions.booking.serializers.arrival import serialize_arrival_answers
from sessions.booking.serializers.sessions import SessionOutputSerializer, serialize_session
from sessions.measurements.domain.follow_up import loss_prompt
from sessions.plan.domain.proposals import Proposal
from sessions.plan.selectors import NotPermitted, PlannedStretch, SessionPlan
from sessions.session_split.selectors.split import SplitOfSession
from sessions.session_split.serializers.split import (
    LoadingCriteriaOutputSerializer,
    serialize_loading_criteria,
)


class PlannedTechniqueOutputSerializer(RecordSerializer):
    """One technique of a stretch today."""

    technique = EnumField(Technique, help_text="E.g. `active_isolated`.")
    mode = ModeField(help_text="The most it may be today, on the worse side.")
    stretch_permissions = StretchPermissionOutputSerializer(
        many=True, help_text="Side by side, with every reason."
    )


class PlannedStretchOutputSerializer(RecordSerializer):
    """A stretch that is prescribed to the client."""

    prescription_id = serializers.UUIDField(help_text="Id of the prescription.")
    stretch = serializers.CharField(help_text="Code of the catalogue, e.g. `chest_arms_out`.")
    name = serializers.CharField(help_text="Its name.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    status = serializers.CharField(help_text="`prescribed` or `active`.")
    doses = serializers.JSONField(help_text="How much, by technique.")
    techniques = PlannedTechniqueOutputSerializer(many=True, help_text="What may be done today.")


class LastReadingOutputSerializer(RecordSerializer):
    """The last reading of a movement."""

    reading_id = serializers.UUIDField(help_text="Its id.")
    movement = EnumField(Movement, help_text="E.g. `shoulder_flexion`.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    motion = EnumField(MotionType, help_text="`active` or `passive`.")
    degrees = serializers.IntegerField(help_text="Whole degrees, e.g. 150.")
    instrument = EnumField(Instrument, help_text="E.g. `goniometer`.")
    pain = serializers.IntegerField(allow_null=True, help_text="0-10 while measured.")
    taken_at = InstantField(help_text="When it was taken.")


class PlannedPartOutputSerializer(RecordSerializer):
    """One part of the session."""

    part = EnumField(SessionPart, help_text="E.g. `stretching`.")
    minutes = serializers.IntegerField(help_text="Whole minutes, e.g. 35.")
    payable = serializers.BooleanField(allow_null=True, help_text="Whether the payer pays.")
    note = serializers.CharField(help_text="What it is, e.g. `easy walking`.")


class PlannedSplitOutputSerializer(RecordSerializer):
    """How the session might be split; the practitioner's own split wins."""

    booked_minutes = serializers.IntegerField(help_text="Length of the session, e.g. 60.")
    suggested = PlannedPartOutputSerializer(
        many=True, help_text="The suggestion; sums to the length."
    )
    reasons = ReasonForm(many=True, help_text="Why it is suggested so.")
    loading_criteria = LoadingCriteriaOutputSerializer(
        many=True, help_text="Limb by limb: whether the loading criteria are met."
    )
    practitioner_split = serializers.DictField(
        child=serializers.IntegerField(), allow_null=True, help_text="The practitioner's, by part."
    )
    practitioner_reason = serializers.CharField(help_text="The practitioner's reason for it.")


class NotPermittedOutputSerializer(RecordSerializer):
    """A technique of a prescribed stretch that may not be done, and what stands instead."""

    prescription_id = serializers.UUIDField(help_text="Id of the prescription.")
    stretch = serializers.CharField(help_text="Code of the catalogue, e.g. `curls`.")
    name = serializers.CharField(help_text="Its name.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    technique = EnumField(Technique, help_text="E.g. `active_isolated`.")
    stretch_permissions = StretchPermissionOutputSerializer(
        many=True, help_text="Side by side, with every reason."
    )
    instead = serializers.ListField(
        child=serializers.CharField(),
        help_text="Codes of permitted stretches that stand instead, e.g. `breathing`.",
    )


class ProposalOutputSerializer(RecordSerializer):
    """A permitted stretch that posture or range asks for; the practitioner picks."""

    stretch = serializers.CharField(help_text="Code of the catalogue, e.g. `lower_back`.")
    name = serializers.CharField(help_text="Its name.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    reasons = ReasonForm(many=True, help_text="What asks for it.")
    stretch_permissions = StretchPermissionOutputSerializer(
        many=True, help_text="How it may be done, by technique."
    )


class LossOutputSerializer(RecordSerializer):
    """Range lost since a discharge, outside a re-check: the practitioner decides."""

    prescription_id = serializers.UUIDField(help_text="The stretch to bring back, or not.")
    stretch = serializers.CharField(help_text="Code of the catalogue, e.g. `abduction_pattern`.")
    name = serializers.CharField(help_text="Its name.")
    reading_id = serializers.UUIDField(help_text="The reading that shows the loss.")
    movement = EnumField(Movement, help_text="E.g. `shoulder_abduction`.")
    side = EnumField(Side, help_text="`left`, `right` or `both`.")
    reference = serializers.IntegerField(help_text="Degrees at discharge, e.g. 180.")
    degrees = serializers.IntegerField(help_text="Degrees now, e.g. 168.")
    change = serializers.IntegerField(help_text="Degrees; negative where lost, e.g. -12.")
    threshold = serializers.FloatField(help_text="Loss in degrees from which on it counts.")
    prompt = ReasonForm(help_text="What is asked.")


class SessionPlanOutputSerializer(RecordSerializer):
    """What a practitioner looks at when the session opens."""

    session = SessionOutputSerializer(help_text="The session.")
    answers = serializers.JSONField(help_text="The arrival answers; null before.")
    permissions = SessionPermissionsOutputSerializer(
        help_text="What may be done hands-on today and why not the rest."
    )
    stretches = PlannedStretchOutputSerializer(
        many=True, help_text="The stretches prescribed, as far as they are permitted."
    )
    not_permitted = NotPermittedOutputSerializer(
        many=True, help_text="What of them is not permitted, and what stands instead."
    )
    proposals = ProposalOutputSerializer(
        many=True, help_text="Permitted stretches that posture and range ask for."
    )
    readings = LastReadingOutputSerializer(many=True, help_text="The last readings.")
    losses = LossOutputSerializer(
        many=True, help_text="Range lost since a discharge: bring the stretch back?"
    )
    split = PlannedSplitOutputSerializer(help_text="How the session might be split.")
    warnings = ReasonForm(
        many=True,
        help_text="On the order: preparation, neck, arms for someone at risk of arm swelling.",
    )


def serialize_session_plan(role: Role, plan: SessionPlan) -> Any:
    """A plan as one role may read it."""
    return SessionPlanOutputSerializer(
        {
            "session": serialize_session(role, plan.row),
            "answers": serialize_arrival_answers(plan.session.answers),
            "permissions": serialize_session_permissions(role, plan.permissions),
            "stretches": [_serialize_stretch(role, one) for one in plan.stretches],
            "not_permitted": [_serialize_not_permitted(role, one) for one in plan.not_permitted],
            "proposals": [_serialize_proposal(role, one) for one in plan.proposals],
            "readings": [
                {"reading_id": one.pk, **{n: getattr(one, n) for n in _READING_FIELDS}}
                for one in plan.readings
            ],
            "losses": [
                {**asdict(one), "prompt": shown_reasons(role, [loss_prompt(one)])[0]}
                for one in plan.losses
            ],
            "split": _serialize_split(role, plan.split),
            "warnings": shown_reasons(role, plan.warnings),
        }
    ).data


_READING_FIELDS = ("movement", "side", "motion", "degrees", "instrument", "pain", "taken_at")


def _serialize_stretch(role: Role, planned: PlannedStretch) -> dict[str, Any]:
    row = planned.row
    return {
        "prescription_id": row.pk,
        "stretch": row.stretch,
        "name": row.name,
        "side": row.side,
        "status": row.status,
        "doses": row.doses,
        "techniques": [
            {
                "technique": one.technique,
                "mode": one.mode,
                "stretch_permissions": [
                    serialize_stretch_permission(role, stretch_permission)
                    for stretch_permission in one.stretch_permissions
                ],
            }
            for one in planned.techniques
        ],
    }


def _serialize_not_permitted(role: Role, one: NotPermitted) -> dict[str, Any]:
    return {
        "prescription_id": one.row.pk,
        "stretch": one.row.stretch,
        "name": one.row.name,
        "side": one.row.side,
        "technique": one.closed.technique,
        "stretch_permissions": [
            serialize_stretch_permission(role, side) for side in one.closed.stretch_permissions
        ],
        "instead": one.instead,
    }


def _serialize_proposal(role: Role, one: Proposal) -> dict[str, Any]:
    return {
        "stretch": one.stretch,
        "name": one.name,
        "side": one.side,
        "reasons": shown_reasons(role, one.reasons),
        "stretch_permissions": [
            serialize_stretch_permission(role, technique) for technique in one.permissions
        ],
    }


def _serialize_split(role: Role, split: SplitOfSession) -> dict[str, Any]:
    practitioner_split = split.practitioner_split
    return {
        "booked_minutes": split.suggested.booked_minutes,
        "suggested": split.suggested.parts,
        "reasons": shown_reasons(role, split.suggested.reasons),
        "loading_criteria": serialize_loading_criteria(role, split.suggested),
        "practitioner_split": {one.part.value: one.minutes for one in practitioner_split.minutes}
        if practitioner_split
        else None,
        "practitioner_reason": practitioner_split.reason if practitioner_split else "",
    }
