"""Stretches on a programme, re-checks, home exercises as they are sent and shown."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.api.fields import (
    DayField,
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstant,
    TextField,
    WholeField,
)
from practice.api.serializers import Strict
from practice.domain.reasons import Reason
from practice.domain.terms import Role, Side, Technique
from sessions.api.forms.motion import AT
from sessions.api.forms.shared import ReasonForm, shown_reasons
from sessions.domain.catalogue.terms import Posture
from sessions.domain.programme.state import RecheckStatus, Standing
from sessions.models import HomeExercise, Prescription, Recheck
from sessions.selectors.programme import StretchStanding


class DoseForm(Strict):
    """How much of one technique."""

    technique = EnumField(Technique, help_text="Technique, e.g. `active_isolated`.")
    repetitions = WholeField(min_value=1, max_value=100, help_text="Repetitions, e.g. 10.")
    hold_seconds = WholeField(min_value=0, max_value=600, help_text="Seconds held, e.g. 2.")
    contract_seconds = WholeField(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=600,
        help_text="Contract–relax only: seconds pushed against the hand, e.g. 5.",
    )
    sets = WholeField(required=False, min_value=1, max_value=20, help_text="Rounds, e.g. 1.")
    days_per_week = WholeField(
        required=False, allow_null=True, min_value=1, max_value=7, help_text="Days a week, e.g. 3."
    )


class PrescribeIn(Strict):
    """A stretch to be put on the programme."""

    stretch = TextField(max_length=60, help_text="Code from the catalogue: `abduction_pattern`.")
    side = EnumField(Side, help_text="`left`, `right`, or `both` for a stretch of both at once.")
    techniques = serializers.ListField(
        child=EnumField(Technique),
        required=False,
        max_length=3,
        help_text="Techniques; the catalogue's first where left out.",
    )
    doses = DoseForm(many=True, required=False, help_text="Doses; the catalogue's where left out.")
    findings = serializers.ListField(
        child=EnumField(Posture),
        required=False,
        max_length=7,
        help_text="Posture findings that it is to correct.",
    )
    eases_pain = FlagField(required=False, help_text="It is also to ease pain.")
    facility_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="Where her re-checks will be held."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it was prescribed."
    )
    reason = TextField(required=False, allow_blank=True, max_length=1000, help_text="Why.")
    at = LocalOrInstant(required=False, help_text=AT)


class StretchForm(serializers.ModelSerializer[Any]):
    """A stretch on a client's programme."""

    standing = EnumField(Standing, help_text="prescribed, active, discharged or ended.")
    discharge_proposed = serializers.BooleanField(help_text="All is at goal: discharge?")
    short = serializers.ListField(
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


_ROW = [
    name
    for name in StretchForm().get_fields()
    if name not in {"discharge_proposed", "short", "missing", "prompts", "warnings"}
]


def shown_stretch(
    role: Role,
    row: Prescription,
    standing: StretchStanding | None,
    warnings: list[Reason] | None = None,
) -> dict[str, Any]:
    """A stretch with where it stands against its goals."""
    found = standing or StretchStanding(discharge_proposed=False)
    shown = {
        **{name: getattr(row, name) for name in _ROW},
        "discharge_proposed": found.discharge_proposed,
        "short": found.short,
        "missing": found.missing,
        "prompts": shown_reasons(role, found.prompts),
        "warnings": shown_reasons(role, warnings or []),
    }
    return dict(StretchForm(shown).data)


class StartIn(Strict):
    """The client has begun."""

    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which she began."
    )
    at = LocalOrInstant(required=False, help_text=AT)


class DischargeIn(Strict):
    """Discharge from a stretch."""

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
    at = LocalOrInstant(required=False, help_text=AT)


class BecauseIn(Strict):
    """A step that takes a reason."""

    reason = TextField(max_length=1000, help_text="Why, e.g. `the arm feels tight again`.")


class RecheckForm(serializers.ModelSerializer[Any]):
    """A re-check on the call list, without degrees."""

    status = EnumField(
        RecheckStatus,
        help_text="`planned`: its day is to come; `called`: put on the call list; `held`: range "
        "was held; `lost`: range was lost, the stretch is on the programme again; `skipped`: not "
        "done, with the reason; `ended`: the stretch came back or ended first.",
    )
    carried_by = serializers.UUIDField(
        allow_null=True, help_text="The session, already booked near the day, that carries it."
    )
    passed = serializers.BooleanField(
        help_text="true: this interval had gone by when a later reading was taken, so it was "
        "passed over; nobody skipped it."
    )
    next_session_at = InstantField(
        allow_null=True,
        help_text="When her next booked session starts, at whichever facility; null: none booked.",
    )
    overdue = serializers.BooleanField(help_text="It is open and its day has passed.")
    client_name = serializers.CharField(help_text="Whom to call; empty after an erasure.")
    client_phone = serializers.CharField(help_text="Her phone in E.164; may be empty.")
    client_contact_by = serializers.CharField(
        help_text="How she lets the practice get in touch, e.g. `phone`; `none`: only in person."
    )
    practitioner_name = serializers.CharField(help_text="Who discharged her.")
    facility_name = serializers.CharField(help_text="Where the re-check is held.")

    class Meta:
        model = Recheck
        exclude = ("version", "judged", "refer")


class ClinicalRecheckForm(RecheckForm):
    """A re-check with what was judged: practitioners and owner only."""

    class Meta:
        model = Recheck
        exclude = ("version",)


class TeachIn(Strict):
    """A home exercise that was taught."""

    stretch = TextField(max_length=60, help_text="Code from the catalogue.")
    side = EnumField(Side, help_text="Side.")
    dose = DoseForm(help_text="Dose of `active_isolated`.")
    stop_signs = serializers.ListField(
        child=TextField(max_length=200),
        max_length=20,
        help_text="When she stops, e.g. [`sharp pain`].",
    )
    taught_on = DayField(help_text="Day it was taught, e.g. `2026-03-09`.")
    prescription_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The stretch of her programme it belongs to."
    )
    taught_by = serializers.UUIDField(
        required=False, help_text="Who taught it; yourself where left out."
    )


class HomeExerciseForm(serializers.ModelSerializer[Any]):
    """A home exercise: self-directed, with its version and signs to stop at."""

    class Meta:
        model = HomeExercise
        exclude = ("client_id", "version")


class TaughtForm(HomeExerciseForm):
    """A home exercise that was just taught."""

    warnings = ReasonForm(many=True, help_text="What is outside the usual dose.")


def shown_taught(role: Role, row: HomeExercise, warnings: list[Reason]) -> dict[str, Any]:
    """A home exercise with what was unusual about its dose."""
    plain = HomeExerciseForm(row).data
    return {**plain, "warnings": shown_reasons(role, warnings)}
