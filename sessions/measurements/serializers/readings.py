"""Readings, goals, posture findings and circumferences as they are sent and shown."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

import msgspec
from rest_framework import serializers

from practice.core.terms import BodyPosition, Instrument, MotionType, Movement, Side
from practice.http.fields import (
    EnumField,
    FlagField,
    InstantField,
    LocalOrInstantField,
    TextField,
    WholeNumberField,
)
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import BoundOnce, RecordSerializer, StrictSerializer
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.comparison import ChangeLabel, ComparisonBase
from sessions.measurements.domain.events import GoalBasis, GoalKind
from sessions.measurements.models import Goal, Reading
from sessions.measurements.selectors.readings import ReadingLabels
from sessions.measurements.serializers.fields import OCCURRED_AT_HELP


class ReadingInputSerializer(StrictSerializer):
    """A reading to be recorded."""

    example = {
        "movement": "shoulder_abduction",
        "side": "left",
        "motion": "active",
        "degrees": 145,
        "position": "sitting",
        "instrument": "goniometer",
        "pain": 2,
    }

    movement = EnumField(Movement, help_text="Movement, e.g. `shoulder_abduction`.")
    side = EnumField(Side, help_text="`left` or `right`; `both` for a movement of the midline.")
    motion = EnumField(MotionType, help_text="`active`: the client moves; `passive`: is moved.")
    degrees = WholeNumberField(
        min_value=-360, max_value=360, help_text="Whole degrees from neutral, e.g. 145."
    )
    position = EnumField(BodyPosition, help_text="How the client is placed, e.g. `sitting`.")
    instrument = EnumField(Instrument, help_text="What it is read from, e.g. `goniometer`.")
    rater_id = serializers.UUIDField(
        required=False, help_text="The practitioner who measured; yourself where left out."
    )
    session_id = serializers.UUIDField(
        required=False, allow_null=True, help_text="The session in which it was taken."
    )
    occurred_at = LocalOrInstantField(required=False, help_text=OCCURRED_AT_HELP)
    confirmed_occurred_at = FlagField(
        required=False, help_text="true keeps a time before birth or years back."
    )
    pain = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=10,
        help_text="Pain while measured, 0-10, e.g. 2.",
    )
    assisted = FlagField(
        required=False, help_text="Somebody or the other arm helped: not the own range."
    )
    confirmed_unlikely = FlagField(
        required=False, help_text="true keeps a value outside the usual range."
    )
    new_pain = FlagField(required=False, help_text="There is new pain since last time.")
    new_swelling = FlagField(required=False, help_text="There is new swelling since last time.")
    explanation = TextField(
        required=False, allow_blank=True, max_length=1000, help_text="What explains a loss."
    )


class ComparisonOutputSerializer(RecordSerializer):
    """A reading against one like it."""

    against = EnumField(ComparisonBase, help_text="`discharge`, `baseline`, `last` or `best`.")
    reading_id = serializers.UUIDField(help_text="The reading it is compared with.")
    degrees = serializers.IntegerField(help_text="What that one was, in degrees.")
    change = serializers.IntegerField(help_text="Degrees gained; negative where lost.")
    same_rater = serializers.BooleanField(help_text="Both were taken by one person.")
    threshold = serializers.FloatField(
        allow_null=True, help_text="Change in degrees from which on it counts."
    )
    policy = serializers.CharField(help_text="What that number rests on.")
    label = EnumField(  # type: ignore[assignment]  # shadows a field's own
        ChangeLabel, help_text="`gained`, `lost`, `within_measurement_error`, …"
    )


class ReadingOutputSerializer(RecordSerializer):
    """A reading with what its changes are called."""

    id = serializers.UUIDField(help_text="Id of the reading.")
    session_id = serializers.UUIDField(allow_null=True, help_text="The session it is from.")
    movement = EnumField(Movement, help_text="Movement.")
    side = EnumField(Side, help_text="Side.")
    motion = EnumField(MotionType, help_text="Who moved.")
    degrees = serializers.IntegerField(help_text="Degrees from neutral.")
    position = EnumField(BodyPosition, help_text="How the client was placed.")
    instrument = EnumField(Instrument, help_text="What it was read from.")
    rater_id = serializers.UUIDField(help_text="Who measured.")
    pain = serializers.IntegerField(allow_null=True, help_text="Pain 0-10.")
    assisted = serializers.BooleanField(help_text="Somebody or the other arm helped.")
    confirmed_unlikely = serializers.BooleanField(help_text="Outside the usual, and confirmed.")
    new_pain = serializers.BooleanField(help_text="New pain since last time.")
    new_swelling = serializers.BooleanField(help_text="New swelling since last time.")
    explanation = serializers.CharField(help_text="What explains a loss.")
    taken_at = InstantField(help_text="When it was taken.")
    recorded_at = InstantField(help_text="When it was entered.")
    comparisons = ComparisonOutputSerializer(many=True, help_text="Against readings like it.")
    second_reading = serializers.BooleanField(
        help_text="It dropped: measure again that day, the same rater."
    )


class RecheckOutcomeOutputSerializer(RecordSerializer):
    """An open re-check that something did."""

    recheck_id = serializers.UUIDField(help_text="The re-check.")
    prescription_id = serializers.UUIDField(help_text="The stretch it belongs to.")
    outcome = serializers.ChoiceField(
        choices=("maintained", "regressed", "skipped"),
        help_text="`maintained`: on to the next; `regressed`: the stretch is resumed.",
    )


class RecordedReadingOutputSerializer(RecordSerializer):
    """The reading recorded, and what it did."""

    reading = ReadingOutputSerializer(help_text="The reading.")
    rechecks = RecheckOutcomeOutputSerializer(many=True, help_text="The re-checks it answered.")
    warnings = ReasonForm(many=True, help_text="What to see to now.")


_READING_FIELDS = [
    n for n in ReadingOutputSerializer().get_fields() if n not in {"comparisons", "second_reading"}
]


def serialize_reading(row: Reading, labels: ReadingLabels) -> dict[str, Any]:
    """A reading with its labels."""
    return {
        **{name: getattr(row, name) for name in _READING_FIELDS},
        "comparisons": [msgspec.structs.asdict(one) for one in labels.comparisons],
        "second_reading": labels.second_reading,
    }


class GoalInputSerializer(StrictSerializer):
    """A goal to be set."""

    example = {
        "kind": "range",
        "movement": "shoulder_abduction",
        "side": "left",
        "basis": "number",
        "degrees": 150,
        "reason": "to reach the upper shelf",
    }

    kind = EnumField(GoalKind, required=False, help_text="`range` unless said otherwise.")
    movement = EnumField(Movement, required=False, help_text="For a range: the movement.")
    side = EnumField(Side, required=False, help_text="For a range: the side.")
    basis = EnumField(
        GoalBasis,
        required=False,
        help_text="Where the number is from: `common_practice`, `norm`, `other_side`, …",
    )
    degrees = WholeNumberField(
        required=False, min_value=0, max_value=360, help_text="Only with basis `number`, e.g. 150."
    )
    edition = TextField(
        required=False, max_length=80, help_text="Edition of the norm, e.g. `CDC 2011`."
    )
    sex = serializers.ChoiceField(
        choices=("female", "male"), required=False, help_text="For norms by sex."
    )
    finding = EnumField(PostureKind, required=False, help_text="For posture: what is to be gone.")
    pain_at_most = WholeNumberField(
        required=False, min_value=0, max_value=10, help_text="For pain: greatest pain, e.g. 0."
    )
    reason = TextField(
        required=False, allow_blank=True, max_length=1000, help_text="Why this goal."
    )
    occurred_at = LocalOrInstantField(required=False, help_text=OCCURRED_AT_HELP)


class GoalOutputSerializer(BoundOnce, serializers.ModelSerializer[Any]):
    """A goal; ``replaced_by`` names the one that took its place."""

    class Meta:
        model = Goal
        exclude = ("client_id", "version")


class ChartClient(StrEnum):
    """How a picture says whose it is."""

    INITIALS = "initials"
    NAME = "name"


class ChartQueryInputSerializer(StrictSerializer):
    """Which series, and as what."""

    movement = EnumField(Movement, help_text="Movement, e.g. `shoulder_flexion`.")
    side = EnumField(Side, help_text="Side, e.g. `left`.")
    motion = EnumField(MotionType, required=False, help_text="`active` unless said otherwise.")
    format = serializers.ChoiceField(
        choices=("svg", "png"), required=False, help_text="`svg` unless said otherwise."
    )
    client = EnumField(
        ChartClient,
        required=False,
        help_text="Whose it is, as written on it: `initials` unless `name` is asked for.",
    )
