"""Permissions in short: a headline, the programme, what is alike together, each reason once."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from rest_framework import serializers

from clients.clinical.domain.limbs import LoadedLimb
from clients.permissions.domain.results import HandsOnExtent
from practice.core.terms import Technique
from practice.http.fields import EnumField
from practice.http.reasons import ModeField
from practice.http.serializers import RecordSerializer


class NamedSides(StrEnum):
    """The sides on which something is alike."""

    LEFT = "left"
    RIGHT = "right"
    LEFT_AND_RIGHT = "left, right"
    BOTH = "both"


SIDES_HELP = "`left`, `right`, `left, right`, or `both` for a stretch that has no side."


class ReasonNumbersField(serializers.ListField):
    """Which reasons, by their numbers; left out where there are none."""

    def __init__(self, what: str, **kwargs: Any) -> None:
        help_text = f"Numbers of texts in `reason_texts`: {what}."
        super().__init__(child=serializers.IntegerField(), help_text=help_text, **kwargs)


class TechniquesField(serializers.ListField):
    """Some techniques; left out where there are none."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(child=EnumField(Technique), **kwargs)


class NamedStretchesField(serializers.DictField):
    """Stretches by code, each with its name beside it."""

    def __init__(self, **kwargs: Any) -> None:
        help_text = 'Name by code of the catalogue, e.g. `{"curls": "Curls"}`.'
        super().__init__(child=serializers.CharField(), help_text=help_text, **kwargs)


class LimitsField(serializers.DictField):
    """Greatest degrees by movement; left out where there are none."""

    def __init__(self, **kwargs: Any) -> None:
        help_text = 'Greatest degrees by movement, e.g. `{"shoulder_flexion": 90}`.'
        super().__init__(
            child=serializers.FloatField(), help_text=help_text, required=False, **kwargs
        )


class ReasonTextOutputSerializer(RecordSerializer):
    """A reason that is said once. Its source stands in the long form."""

    code = serializers.CharField(help_text="Stable code, e.g. `surgery.no_clearance`.")
    text = serializers.CharField(
        help_text="A sentence for people. `{technique}` in it stands for the technique that it is "
        "read with."
    )


class OutcomeOutputSerializer(RecordSerializer):
    """What came out alike, with why."""

    techniques = TechniquesField(help_text="By which techniques.")
    sides = EnumField(NamedSides, help_text=SIDES_HELP)
    mode = ModeField(help_text="What it may be now.")
    planned = ModeField(
        required=False,
        help_text="What it may be if the arrival answers bring nothing new; left out where it is "
        "the same.",
    )
    limits = LimitsField()
    reasons = ReasonNumbersField("why not more, beside what stands against all", required=False)
    cautions = ReasonNumbersField("what to heed while it is done", required=False)
    offered_instead = EnumField(
        Technique, required=False, help_text="A technique to use instead, e.g. `active_isolated`."
    )


class StretchOutcomesOutputSerializer(RecordSerializer):
    """Stretches of which everything came out alike."""

    stretches = NamedStretchesField()
    outcomes = OutcomeOutputSerializer(many=True, help_text="By technique and side.")


class PlannedModesOutputSerializer(RecordSerializer):
    """Techniques that will be another mode if the arrival answers bring nothing new."""

    hands_on = TechniquesField(required=False, help_text="By hand then.")
    self_directed = TechniquesField(required=False, help_text="By the client alone then.")
    not_today = TechniquesField(required=False, help_text="Not then either.")


class SideModesOutputSerializer(RecordSerializer):
    """The techniques by mode, on the sides where they are alike."""

    sides = EnumField(NamedSides, help_text=SIDES_HELP)
    hands_on = TechniquesField(required=False, help_text="Techniques that may be by hand now.")
    self_directed = TechniquesField(required=False, help_text="By the client alone.")
    not_today = TechniquesField(required=False, help_text="Not today.")
    planned = PlannedModesOutputSerializer(
        required=False, help_text="Those that change if the arrival answers bring nothing new."
    )
    limits = LimitsField()
    cautions = ReasonNumbersField("what to heed while it is done", required=False)


class StretchModesOutputSerializer(RecordSerializer):
    """Stretches of which the same may be done."""

    stretches = NamedStretchesField()
    by_side = SideModesOutputSerializer(many=True, help_text="Side by side, by mode.")


class AlikeLimbsOutputSerializer(RecordSerializer):
    """Limbs that may carry load, or may not, for the same reasons."""

    limbs = serializers.ListField(
        child=EnumField(LoadedLimb), help_text="Which limbs, e.g. `left_arm`."
    )
    open = serializers.BooleanField(help_text="They may carry load.")
    reasons = ReasonNumbersField("why not", required=False)
    cautions = ReasonNumbersField("what to heed while they are loaded", required=False)


class ShortSessionOutputSerializer(RecordSerializer):
    """What the short forms of permissions and plan have in common."""

    headline = serializers.CharField(
        help_text="What must not be overlooked: whom to send the client to, how much of the "
        "programme is closed, where range is limited, which limbs carry no load."
    )
    worst = ModeField(
        allow_null=True,
        help_text="The narrowest that anything on the programme may be now, of the catalogue "
        "while there is none; null to the desk.",
    )
    mode = ModeField(help_text="The widest that anything on it may be now.")
    planned = ModeField(help_text="The same if the arrival answers bring nothing new.")
    hands_on = EnumField(
        HandsOnExtent, help_text="How much of it is by hand now: `all`, `part` or `nothing`."
    )
    hands_on_planned = EnumField(
        HandsOnExtent, help_text="The same if the arrival answers bring nothing new."
    )
    provisional = serializers.BooleanField(help_text="The day's questions are not all answered.")
    bookable = serializers.BooleanField(help_text="A booking is not refused.")
    reasons = ReasonNumbersField("what stands against all of it")
    refusals = ReasonNumbersField("why it may not be booked at all")
    warnings = ReasonNumbersField("things to see to; they forbid nothing")
    refer_to = serializers.ListField(
        child=serializers.CharField(), help_text="Whom to send the client to, by red flag."
    )
    load = AlikeLimbsOutputSerializer(
        many=True, help_text="Which limbs may carry load; empty to the desk."
    )


class ShortPermissionsOutputSerializer(ShortSessionOutputSerializer):
    """What may be done with a client on a day, in short."""

    loading_cleared = serializers.BooleanField(
        allow_null=True, help_text="No clearance for load is missing; null to the desk."
    )
    clearance_reasons = ReasonNumbersField("why load is not cleared")
    programme = StretchOutcomesOutputSerializer(
        many=True, help_text="What the client is on, with every reason; empty to the desk."
    )
    other_stretches = StretchModesOutputSerializer(
        many=True, help_text="The rest of the catalogue by what may be done; empty to the desk."
    )
    other_reasons = ReasonNumbersField(
        "all that stand against some of the other stretches; which of them, in the long form"
    )
    arrival_of = serializers.UUIDField(
        allow_null=True,
        help_text="The session of that day whose arrival answers or stop were taken into account; "
        "null: none yet, so it is provisional.",
    )
    reason_texts = serializers.DictField(
        child=ReasonTextOutputSerializer(), help_text="Each reason once, by its number."
    )
