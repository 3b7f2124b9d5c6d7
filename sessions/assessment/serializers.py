"""Permissions as they are shown: one mode to the desk, everything to a practitioner."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from clients.clinical.domain.limbs import LoadedLimb
from clients.permissions.domain.inputs import DayQuestion
from clients.permissions.domain.results import (
    HandsOnExtent,
    LoadPermission,
    SessionPermissions,
    StretchPermission,
    UsedRowKind,
)
from practice.core.terms import Movement, Role, Side, Technique
from practice.http.answer_forms import AnswerFormField
from practice.http.fields import DayField, EnumField, InstantField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import ModeField, serialize_stored_reasons, shown_reasons
from practice.http.roles import CLINICAL
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.assessment.domain.assessment import session_reasons
from sessions.assessment.domain.day_answers import DayAnswers
from sessions.calendar.domain.narrowing import closed_of, narrowed_groups


class MovementLimitOutputSerializer(RecordSerializer):
    """A movement that must not go beyond some degrees."""

    movement = EnumField(Movement, help_text="E.g. `shoulder_flexion`.")
    degrees = serializers.FloatField(help_text="Greatest degrees, e.g. 90.")


class StretchPermissionOutputSerializer(RecordSerializer):
    """One stretch by one technique on one side."""

    stretch = serializers.CharField(help_text="Code of the catalogue, e.g. `chest_arms_out`.")
    technique = EnumField(Technique, help_text="E.g. `active_isolated`.")
    side = EnumField(Side, help_text="`left`, `right`, or `both` for one that has no side.")
    mode = ModeField(help_text="What it may be now.")
    planned = ModeField(help_text="What it may be if the arrival answers bring nothing new.")
    limits = MovementLimitOutputSerializer(many=True, help_text="Ranges that it must stay within.")
    reasons = ReasonForm(many=True, help_text="Everything that narrows it.")
    cautions = ReasonForm(many=True, help_text="What to heed while it is done.")
    offered_instead = serializers.CharField(
        allow_null=True, help_text="A technique to use instead, e.g. `active_isolated`."
    )


class StretchSetOutputSerializer(RecordSerializer):
    """Stretches, each by all of these techniques and on all of these sides."""

    techniques = serializers.ListField(child=EnumField(Technique), help_text="By which techniques.")
    sides = serializers.ListField(child=EnumField(Side), help_text="On which sides.")
    stretches = serializers.ListField(
        child=serializers.CharField(), help_text="Codes of the catalogue."
    )


class ClosedStretchesOutputSerializer(RecordSerializer):
    """Stretches that came out alike and for the same reasons."""

    was = ModeField(help_text="What it was planned as.")
    mode = ModeField(help_text="What it may be now.")
    reasons = ReasonForm(many=True, help_text="Why.")
    of = StretchSetOutputSerializer(many=True, help_text="Which stretches.")


class UsedRowOutputSerializer(RecordSerializer):
    """A row of the practice's tables that a verdict rests on."""

    kind = EnumField(UsedRowKind, help_text="Which table, e.g. `licence`.")
    id = serializers.UUIDField(help_text="Id of the row.")
    revision = serializers.IntegerField(help_text="Its revision then.")


class PermissionVersionsOutputSerializer(RecordSerializer):
    """What the permissions were evaluated with."""

    rules = serializers.IntegerField(help_text="Version of the rules in the program.")
    settings = serializers.IntegerField(help_text="Revision of the practice's thresholds.")
    record = serializers.IntegerField(help_text="Version of the client's record.")
    catalogue = serializers.IntegerField(help_text="Version of the catalogue of stretches.")
    consent_id = serializers.UUIDField(allow_null=True, help_text="The touch consent.")
    limit_rows = serializers.ListField(
        child=serializers.UUIDField(), help_text="Rows of the table of jurisdiction limits."
    )
    rows = UsedRowOutputSerializer(
        many=True, help_text="Licences, sign-offs, supervision and limits, each at its revision."
    )
    orders = serializers.ListField(
        child=serializers.UUIDField(), help_text="Orders that were in force that day."
    )


class LoadPermissionOutputSerializer(RecordSerializer):
    """Whether one limb may carry external load; what is measured may narrow it further."""

    limb = EnumField(LoadedLimb, help_text="E.g. `left_arm`.")
    open = serializers.BooleanField(help_text="Nothing on record or of the day closes it.")
    reasons = ReasonForm(many=True, help_text="Why not.")
    cautions = ReasonForm(many=True, help_text="What to heed while it is loaded.")


class SessionPermissionsOutputSerializer(RecordSerializer):
    """What may be done in one session. The desk sees no stretches and no health reasons."""

    mode = ModeField(
        help_text="The widest that anything on the client's programme may be now; of the whole"
        " catalogue while the client is on no stretch."
    )
    planned = ModeField(help_text="The same if the arrival answers bring nothing new.")
    hands_on = EnumField(
        HandsOnExtent, help_text="How much of that is by hand now: `all`, `part` or `nothing`."
    )
    hands_on_planned = EnumField(
        HandsOnExtent, help_text="The same if the arrival answers bring nothing new."
    )
    closed = ClosedStretchesOutputSerializer(
        many=True, help_text="What of that is not by hand now, and why; empty to the desk."
    )
    provisional = serializers.BooleanField(help_text="The day's questions are not all answered.")
    bookable = serializers.BooleanField(help_text="A booking is not refused.")
    reasons = ReasonForm(many=True, help_text="Why no more than that.")
    refusals = ReasonForm(many=True, help_text="Why it may not be booked at all.")
    warnings = ReasonForm(many=True, help_text="Things to see to; they forbid nothing.")
    loading_cleared = serializers.BooleanField(
        allow_null=True,
        help_text="No clearance for external load is missing; whether a limb or region is past "
        "its loading criteria stand in the split. null to the desk.",
    )
    clearance_reasons = ReasonForm(many=True, help_text="Why load is not cleared.")
    load = LoadPermissionOutputSerializer(
        many=True, help_text="Which limb may carry load that day; empty to the desk."
    )
    refer_to = serializers.ListField(
        child=serializers.CharField(), help_text="Whom to send the client to, by red flag."
    )
    questions = serializers.ListField(
        child=EnumField(DayQuestion),
        help_text="What this client is asked on arrival beside the usual and has not answered, by"
        " the name of the arrival answer; empty to the desk: practitioners ask it.",
    )
    stretch_permissions = StretchPermissionOutputSerializer(
        many=True, help_text="Stretch by stretch; empty to the desk."
    )
    versions = PermissionVersionsOutputSerializer(help_text="What it was evaluated with.")


class ArrivalPermissionsOutputSerializer(SessionPermissionsOutputSerializer):
    """What the answers of an arrival allow in the whole session. What is closed and why stands
    in the session beside it, stretch by stretch in the plan."""

    closed = None  # type: ignore[assignment]  # left out
    stretch_permissions = None  # type: ignore[assignment]  # left out


class ClientPermissionsOutputSerializer(SessionPermissionsOutputSerializer):
    """What may be done with a client on a day."""

    arrival_of = serializers.UUIDField(
        allow_null=True,
        help_text="The session of that day whose arrival answers or stop were taken into account; "
        "null: none yet, so it is provisional.",
    )


class PermissionsQueryInputSerializer(StrictSerializer):
    """The query of the permissions."""

    practitioner_id = serializers.UUIDField(help_text="Who would do the work.")
    facility_id = serializers.UUIDField(help_text="Where.")
    on = DayField(required=False, help_text="Local day there, e.g. `2026-03-09`; default today.")
    known_at = InstantField(
        required=False,
        help_text="By what was known at this instant, e.g. `2026-02-16T09:00:00-05:00`.",
    )
    form = AnswerFormField()


def serialize_session_permissions(role: Role, evaluated: SessionPermissions) -> Any:
    """A session's permissions as one role may read them."""
    stretches = evaluated.stretch_permissions if role in CLINICAL else ()
    return SessionPermissionsOutputSerializer(
        {
            **_of_the_whole(role, evaluated),
            "closed": serialize_closed(role, evaluated),
            "stretch_permissions": [serialize_stretch_permission(role, one) for one in stretches],
        }
    ).data


def serialize_arrival_permissions(role: Role, evaluated: SessionPermissions) -> Any:
    """The same without what the plan says of each stretch."""
    return ArrivalPermissionsOutputSerializer(_of_the_whole(role, evaluated)).data


def _of_the_whole(role: Role, evaluated: SessionPermissions) -> dict[str, Any]:
    clinical = role in CLINICAL
    return {
        "mode": evaluated.mode,
        "planned": evaluated.planned,
        "hands_on": evaluated.extent,
        "hands_on_planned": evaluated.planned_extent,
        "provisional": evaluated.provisional,
        "bookable": not evaluated.refusals,
        "reasons": shown_reasons(role, session_reasons(evaluated.reasons)),
        "refusals": shown_reasons(role, evaluated.refusals),
        "warnings": shown_reasons(role, evaluated.warnings),
        "loading_cleared": evaluated.loading if clinical else None,
        "clearance_reasons": shown_reasons(role, evaluated.load_clearance_reasons)
        if clinical
        else [],
        "load": [_load_permission(role, one) for one in evaluated.load] if clinical else [],
        "questions": list(evaluated.questions) if clinical else [],
        "refer_to": list(evaluated.refer_to) if clinical else [],
        "versions": evaluated.versions,
    }


def _load_permission(role: Role, one: LoadPermission) -> dict[str, Any]:
    return {
        "limb": one.limb,
        "open": one.open,
        "reasons": shown_reasons(role, one.reasons),
        "cautions": shown_reasons(role, one.cautions),
    }


def serialize_client_permissions(
    role: Role, evaluated: SessionPermissions, said: DayAnswers
) -> Any:
    """The same with the session that the day's answers come from."""
    return {
        **serialize_session_permissions(role, evaluated),
        "arrival_of": said.session_id and str(said.session_id),
    }


def serialize_stretch_permission(
    role: Role, stretch_permission: StretchPermission
) -> dict[str, Any]:
    """One permission as one role may read it."""
    return {
        "stretch": stretch_permission.stretch,
        "technique": stretch_permission.technique,
        "side": stretch_permission.side,
        "mode": stretch_permission.mode,
        "planned": stretch_permission.planned,
        "limits": stretch_permission.limits,
        "reasons": shown_reasons(role, stretch_permission.reasons),
        "cautions": shown_reasons(role, stretch_permission.cautions),
        "offered_instead": stretch_permission.offered_instead,
    }


def serialize_closed(role: Role, evaluated: SessionPermissions) -> list[dict[str, Any]]:
    """What is not by hand, as one role may read it: which stretches would tell the desk why."""
    if role not in CLINICAL:
        return []
    groups, reasons = narrowed_groups(closed_of(evaluated))
    return [
        {
            "was": one.was,
            "mode": one.now,
            "reasons": shown_reasons(role, [reasons[place] for place in one.reasons]),
            "of": one.of,
        }
        for one in groups
    ]


def serialize_stored_stretches(role: Role, stored: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The same of what a row of the calendar keeps."""
    if role not in CLINICAL:
        return []
    return [{**one, "reasons": serialize_stored_reasons(role, one["reasons"])} for one in stored]
