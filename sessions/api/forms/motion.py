"""Readings, goals, posture findings and girths as they are sent and shown."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Any

import msgspec
from rest_framework import serializers

from practice.api.fields import (
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstant,
    TextField,
    WholeField,
)
from practice.api.serializers import Strict
from practice.domain.terms import Instrument, Motion, Movement, Position, Role, Side
from sessions.api.forms.shared import ReasonForm, shown_reasons
from sessions.domain.catalogue.terms import Posture
from sessions.domain.motion.comparing import Against, Label
from sessions.domain.motion.events import GoalBasis, GoalKind, Severity, SwellingStage
from sessions.domain.motion.state import Girths
from sessions.domain.swelling.judging import Advice, Basis, SwellingJudgement
from sessions.models import Goal, PostureFinding, Reading
from sessions.selectors.motion import Labels

AT = (
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


class Numbers(serializers.ListField):
    """Girths in cm as numbers of JSON."""

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


class ReadingIn(Strict):
    """A reading to be recorded."""

    movement = EnumField(Movement, help_text="Movement, e.g. `shoulder_abduction`.")
    side = EnumField(Side, help_text="`left` or `right`; `both` for a movement of the midline.")
    motion = EnumField(Motion, help_text="`active`: she moves; `passive`: she is moved.")
    degrees = WholeField(
        min_value=-360, max_value=360, help_text="Whole degrees from neutral, e.g. 145."
    )
    position = EnumField(Position, help_text="How she is placed, e.g. `sitting`.")
    instrument = EnumField(Instrument, help_text="What it is read from, e.g. `goniometer`.")
    rater_id = serializers.UUIDField(
        required=False, help_text="The practitioner who measured; yourself where left out."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it was taken."
    )
    at = LocalOrInstant(required=False, help_text=AT)
    pain = WholeField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=10,
        help_text="Pain while measured, 0-10, e.g. 2.",
    )
    assisted = FlagField(
        required=False, help_text="Somebody or her other arm helped: not her own range."
    )
    confirmed_unlikely = FlagField(
        required=False, help_text="true keeps a value outside the usual range."
    )
    new_pain = FlagField(required=False, help_text="She has new pain since last time.")
    new_swelling = FlagField(required=False, help_text="She has new swelling since last time.")
    explanation = TextField(
        required=False, allow_blank=True, max_length=1000, help_text="What explains a loss."
    )


class ComparisonForm(serializers.Serializer[Any]):
    """A reading against one like it."""

    against = EnumField(Against, help_text="`discharge`, `baseline`, `last` or `best`.")
    reading_id = serializers.UUIDField(help_text="The reading it is compared with.")
    degrees = serializers.IntegerField(help_text="What that one was, in degrees.")
    change = serializers.IntegerField(help_text="Degrees gained; negative where lost.")
    same_rater = serializers.BooleanField(help_text="Both were taken by one person.")
    threshold = serializers.FloatField(
        allow_null=True, help_text="Change in degrees from which on it counts."
    )
    policy = serializers.CharField(help_text="What that number rests on.")
    label = EnumField(  # type: ignore[assignment]  # shadows a field's own
        Label, help_text="`gained`, `lost`, `within_measurement_error`, …"
    )


class ReadingForm(serializers.Serializer[Any]):
    """A reading with what its changes are called."""

    id = serializers.UUIDField(help_text="Id of the reading.")
    session_id = serializers.UUIDField(allow_null=True, help_text="The session it is from.")
    movement = EnumField(Movement, help_text="Movement.")
    side = EnumField(Side, help_text="Side.")
    motion = EnumField(Motion, help_text="Who moved.")
    degrees = serializers.IntegerField(help_text="Degrees from neutral.")
    position = EnumField(Position, help_text="How she was placed.")
    instrument = EnumField(Instrument, help_text="What it was read from.")
    rater_id = serializers.UUIDField(help_text="Who measured.")
    pain = serializers.IntegerField(allow_null=True, help_text="Pain 0-10.")
    assisted = serializers.BooleanField(help_text="She was helped.")
    confirmed_unlikely = serializers.BooleanField(help_text="Outside the usual, and confirmed.")
    new_pain = serializers.BooleanField(help_text="New pain since last time.")
    new_swelling = serializers.BooleanField(help_text="New swelling since last time.")
    explanation = serializers.CharField(help_text="What explains a loss.")
    taken_at = InstantField(help_text="When it was taken.")
    recorded_at = InstantField(help_text="When it was entered.")
    comparisons = ComparisonForm(many=True, help_text="Against readings like it.")
    second_reading = serializers.BooleanField(
        help_text="It dropped: measure again that day, the same rater."
    )


class AnsweredForm(serializers.Serializer[Any]):
    """An open re-check that something did."""

    recheck_id = serializers.UUIDField(help_text="The re-check.")
    prescription_id = serializers.UUIDField(help_text="The stretch it belongs to.")
    outcome = serializers.ChoiceField(
        choices=("held", "lost", "skipped"), help_text="`held`: on to the next; `lost`: resumed."
    )


class ReadingAnswer(serializers.Serializer[Any]):
    """The reading recorded, and what it did."""

    reading = ReadingForm(help_text="The reading.")
    rechecks = AnsweredForm(many=True, help_text="The re-checks it answered.")
    warnings = ReasonForm(many=True, help_text="What to see to now.")


_READING = [n for n in ReadingForm().get_fields() if n not in {"comparisons", "second_reading"}]


def shown_reading(row: Reading, labels: Labels) -> dict[str, Any]:
    """A reading with its labels."""
    return {
        **{name: getattr(row, name) for name in _READING},
        "comparisons": [msgspec.structs.asdict(one) for one in labels.comparisons],
        "second_reading": labels.second_reading,
    }


class InError(Strict):
    """Why something must not count."""

    reason = TextField(max_length=500, help_text="Why, e.g. `wrong side`.")


class GoalIn(Strict):
    """A goal to be set."""

    kind = EnumField(GoalKind, required=False, help_text="`range` unless said otherwise.")
    movement = EnumField(Movement, required=False, help_text="For a range: the movement.")
    side = EnumField(Side, required=False, help_text="For a range: the side.")
    basis = EnumField(
        GoalBasis,
        required=False,
        help_text="Where the number is from: `common_practice`, `norm`, `other_side`, …",
    )
    degrees = WholeField(
        required=False, min_value=0, max_value=360, help_text="Only with basis `number`, e.g. 150."
    )
    edition = TextField(
        required=False, max_length=80, help_text="Edition of the norm, e.g. `CDC 2011`."
    )
    sex = serializers.ChoiceField(
        choices=("female", "male"), required=False, help_text="For norms by sex."
    )
    finding = EnumField(Posture, required=False, help_text="For posture: what is to be gone.")
    pain_at_most = WholeField(
        required=False, min_value=0, max_value=10, help_text="For pain: greatest pain, e.g. 0."
    )
    reason = TextField(
        required=False, allow_blank=True, max_length=1000, help_text="Why this goal."
    )
    at = LocalOrInstant(required=False, help_text=AT)


class GoalForm(serializers.ModelSerializer[Any]):
    """A goal; ``replaced_by`` names the one that took its place."""

    class Meta:
        model = Goal
        exclude = ("client_id", "version")


class PostureIn(Strict):
    """A posture finding to be recorded."""

    finding = EnumField(Posture, help_text="What is seen, e.g. `rounded_shoulders`.")
    severity = EnumField(Severity, help_text="`none`, `mild`, `moderate` or `severe`.")
    side = EnumField(Side, required=False, help_text="`both` unless said otherwise.")
    described = TextField(
        required=False, allow_blank=True, max_length=500, help_text="In words; for `other` needed."
    )
    observer_id = serializers.UUIDField(
        required=False, help_text="Who saw it; yourself where left out."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it was seen."
    )
    at = LocalOrInstant(required=False, help_text=AT)


class PostureForm(serializers.ModelSerializer[Any]):
    """A posture finding."""

    class Meta:
        model = PostureFinding
        exclude = ("client_id", "version")


class GirthsIn(Strict):
    """Girths of both arms to be recorded."""

    left = Numbers(help_text="Girths of the left arm in cm from the wrist up, e.g. [16.5, 18].")
    right = Numbers(help_text="Girths of the right arm at the same points.")
    interval_cm = NumberField(help_text="Distance between two girths in cm, e.g. 4.")
    rater_id = serializers.UUIDField(
        required=False, help_text="Who measured; yourself where left out."
    )
    baseline = FlagField(required=False, help_text="Taken before the operation.")
    new_heaviness = FlagField(required=False, help_text="She says the arm is newly heavy.")
    stage = EnumField(SwellingStage, required=False, help_text="ISL stage, e.g. `I`.")
    stage_side = EnumField(Side, required=False, help_text="The side of the stage.")
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which they were taken."
    )
    at = LocalOrInstant(required=False, help_text=AT)


class ComparedForm(serializers.Serializer[Any]):
    """One arm's comparison."""

    side = EnumField(Side, help_text="The arm.")
    basis = EnumField(Basis, help_text="What it is compared with.")
    percent = serializers.FloatField(allow_null=True, help_text="Percent larger.")
    millilitres = serializers.FloatField(allow_null=True, help_text="mL more.")
    centimetres = serializers.FloatField(allow_null=True, help_text="Most cm more at one point.")


class GirthsForm(serializers.Serializer[Any]):
    """Girths, the volumes they make, and what they say."""

    id = serializers.UUIDField(help_text="Id of the set.")
    taken_at = InstantField(help_text="When they were taken.")
    session_id = serializers.UUIDField(allow_null=True, help_text="The session.")
    rater_id = serializers.UUIDField(help_text="Who measured.")
    interval_cm = serializers.FloatField(help_text="Distance between two girths, cm.")
    left = serializers.ListField(child=serializers.FloatField(), help_text="Left arm, cm.")
    right = serializers.ListField(child=serializers.FloatField(), help_text="Right arm, cm.")
    left_ml = serializers.FloatField(help_text="Volume of the left arm, mL.")
    right_ml = serializers.FloatField(help_text="Volume of the right arm, mL.")
    baseline = serializers.BooleanField(help_text="Before the operation.")
    new_heaviness = serializers.BooleanField(help_text="Newly heavy.")
    stage = EnumField(SwellingStage, allow_null=True, help_text="ISL stage.")
    stage_side = EnumField(Side, allow_null=True, help_text="Its side.")
    compared = ComparedForm(many=True, help_text="The comparisons that may be made.")
    advice = EnumField(Advice, help_text="`none`, `measure_again` or `refer`.")
    again_in_weeks = serializers.IntegerField(allow_null=True, help_text="When again.")
    reasons = ReasonForm(many=True, help_text="Why.")


def shown_girths(role: Role, girths: Girths, judged: SwellingJudgement) -> dict[str, Any]:
    """Girths with what they say."""
    measured = girths.measured
    return {
        "id": measured.girths_id,
        "taken_at": girths.at,
        "session_id": measured.session_id,
        "rater_id": measured.rater_id,
        "interval_cm": measured.interval_cm,
        "left": list(measured.left),
        "right": list(measured.right),
        "left_ml": round(judged.left_ml, 1),
        "right_ml": round(judged.right_ml, 1),
        "baseline": measured.baseline,
        "new_heaviness": measured.new_heaviness,
        "stage": measured.stage,
        "stage_side": measured.stage_side,
        "compared": _compared(judged),
        "advice": judged.advice,
        "again_in_weeks": judged.again_in_weeks,
        "reasons": shown_reasons(role, judged.reasons),
    }


def _compared(judged: SwellingJudgement) -> Sequence[dict[str, Any]]:
    return [
        {
            "side": one.side,
            "basis": one.basis,
            "percent": _rounded(one.percent),
            "millilitres": _rounded(one.millilitres),
            "centimetres": _rounded(one.centimetres),
        }
        for one in judged.compared
    ]


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


class PictureAsked(Strict):
    """Which series, and as what."""

    movement = EnumField(Movement, help_text="Movement, e.g. `shoulder_flexion`.")
    side = EnumField(Side, help_text="Side, e.g. `left`.")
    motion = EnumField(Motion, required=False, help_text="`active` unless said otherwise.")
    format = serializers.ChoiceField(
        choices=("svg", "png"), required=False, help_text="`svg` unless said otherwise."
    )
