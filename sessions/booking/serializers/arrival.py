"""The arrival questions as they are asked and shown."""

from __future__ import annotations

from math import isfinite
from typing import Any

import msgspec
from rest_framework import serializers

from clients.consent.serializers import CHILD
from clients.health.domain.terms import Limb, RedFlag
from clients.identity.fields import language_field
from practice.core.terms import Side
from practice.http.fields import (
    EnumField,
    FlagField,
    InstantField,
    NameField,
    TextField,
    WholeNumberField,
)
from practice.http.serializers import StrictSerializer
from sessions.calendar.domain.terms import (
    HandsOnToday,
    InterpreterToday,
    NewSwelling,
    ShoulderToday,
    SubmittedArrivalAnswers,
)

SINGLE_SIDES = ("left", "right")


class SideField(EnumField):
    """left or right."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Side, **kwargs)

    def to_internal_value(self, data: Any) -> Any:
        """The side; both is no answer here."""
        side = super().to_internal_value(data)
        if side not in SINGLE_SIDES:
            raise serializers.ValidationError("Give left or right.")
        return side


class TemperatureField(serializers.FloatField):
    """Degrees Celsius as a number of JSON."""

    def to_internal_value(self, data: Any) -> Any:
        """The temperature; 400 for text, flags and what is no number."""
        number = isinstance(data, int | float) and not isinstance(data, bool)
        if not number or not isfinite(data):
            raise serializers.ValidationError("Give a number of degrees Celsius, e.g. 36.8.")
        return super().to_internal_value(data)


class SwollenLimbInputSerializer(StrictSerializer):
    """A limb with new swelling."""

    limb = EnumField(Limb, help_text="`arm` or `leg`.")
    side = SideField(help_text="`left` or `right`.")


class ShoulderInputSerializer(StrictSerializer):
    """How one shoulder is today."""

    side = SideField(help_text="`left` or `right`.")
    pinches = FlagField(help_text="Whether it pinches, e.g. true.")
    degrees = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=180,
        help_text="To what height it is free of pain today, in degrees, e.g. 95.",
    )


class InterpreterInputSerializer(StrictSerializer):
    """Who interprets today."""

    name = NameField(max_length=120, help_text="Their name, e.g. `Luz Ferrer`.")
    language = language_field("The client's language that they interpret, BCP 47, e.g. `es`.")
    of_age = FlagField(help_text="They were asked and are of age; a child never interprets.")

    def validate_of_age(self, of_age: bool) -> bool:
        """400 for a child."""
        if not of_age:
            raise serializers.ValidationError(CHILD)
        return of_age


class ArrivalAnswersInputSerializer(StrictSerializer):
    """The answers on arrival; what is left out or null was not answered and keeps its answer."""

    hands_on_today = EnumField(
        HandsOnToday, required=False, help_text='"Hands-on all right today?", e.g. `yes`.'
    )
    pain_now = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=10,
        help_text="Pain at rest now, 0-10, e.g. 2.",
    )
    usual_pain = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=0,
        max_value=10,
        help_text="Usual pain at rest, 0-10.",
    )
    feverish = FlagField(
        required=False, allow_null=True, help_text="Does the client feel feverish?"
    )
    fever_c = TemperatureField(
        required=False,
        allow_null=True,
        min_value=30,
        max_value=45,
        help_text="Temperature in degrees Celsius, e.g. 36.8 (98.2 °F).",
    )
    swelling = SwollenLimbInputSerializer(
        many=True, required=False, allow_null=True, help_text="New swelling; [] for none."
    )
    new_symptoms = serializers.ListField(
        child=EnumField(RedFlag),
        required=False,
        allow_null=True,
        max_length=20,
        help_text="New since the last session, e.g. `chest_pain`; [] for none.",
    )
    other_symptoms = TextField(
        required=False,
        allow_blank=True,
        max_length=1000,
        help_text="Anything else, in the client's own words; nothing is hands-on until reviewed.",
    )
    fatigue = WholeNumberField(
        required=False, allow_null=True, min_value=0, max_value=10, help_text="Fatigue 0-10."
    )
    shoulders = ShoulderInputSerializer(
        many=True, required=False, allow_null=True, help_text="Shoulders that pinch; [] for none."
    )
    chemotherapy = FlagField(
        required=False,
        allow_null=True,
        help_text="Whether chemotherapy is under way; a fever during it is an emergency.",
    )
    companion_present = FlagField(
        required=False, allow_null=True, help_text="The client's support person is there."
    )
    interpreter_present = FlagField(
        required=False, allow_null=True, help_text="An interpreter is there; true: name them."
    )
    interpreter = InterpreterInputSerializer(
        required=False, allow_null=True, help_text="Who interprets."
    )
    needle_in_port = FlagField(
        required=False,
        allow_null=True,
        help_text="Of a client with an implanted port: a needle is in it today.",
    )
    skin_broken = FlagField(
        required=False,
        allow_null=True,
        help_text="In a course of radiation and for weeks after: today's look at the skin; false:"
        " looked at and whole.",
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """400 for an interpreter without a name, and for one who is named and not there."""
        there, who = attrs.get("interpreter_present"), attrs.get("interpreter")
        if there and not who:
            raise serializers.ValidationError({"interpreter": "Name the interpreter."})
        if there is False and who:
            raise serializers.ValidationError(
                {"interpreter_present": "An interpreter is named: say whether they are there."}
            )
        return attrs

    @staticmethod
    def to_answers(given: dict[str, Any]) -> SubmittedArrivalAnswers:
        """The answers of validated input."""
        plain = dict(given)
        if plain.get("swelling") is not None:
            plain["swelling"] = tuple(NewSwelling(**one) for one in plain["swelling"])
        if plain.get("new_symptoms") is not None:
            plain["new_symptoms"] = tuple(plain["new_symptoms"])
        if plain.get("shoulders") is not None:
            plain["shoulders"] = tuple(ShoulderToday(**one) for one in plain["shoulders"])
        if who := plain.get("interpreter"):
            named = InterpreterToday(name=who["name"], language=who["language"])
            plain |= {"interpreter": named, "interpreter_present": True}
        return SubmittedArrivalAnswers(**plain)


class ArrivalInputSerializer(ArrivalAnswersInputSerializer):
    """The arrival answers, and when the client came if it is entered later."""

    example = {
        "hands_on_today": "yes",
        "pain_now": 1,
        "feverish": False,
        "swelling": [],
        "new_symptoms": [],
        "fatigue": 3,
        "shoulders": [{"side": "left", "pinches": True, "degrees": 95}],
    }

    occurred_at = InstantField(
        required=False, help_text="When the client arrived, if it is entered later."
    )
    reason = TextField(
        max_length=500,
        required=False,
        help_text="Only where the session is a no-show: why that is taken back,"
        " e.g. `Came fifteen minutes late.`",
    )

    def to_command(self, **more: Any) -> dict[str, Any]:
        """``answers``, and ``occurred_at`` and ``reason`` where they are given."""
        given = dict(self.validated_data)
        beside = {one: given.pop(one) for one in ("occurred_at", "reason") if one in given}
        return {"answers": self.to_answers(given), **beside, **more}


def serialize_arrival_answers(answers: SubmittedArrivalAnswers | None) -> Any:
    """The answers as a practitioner reads them."""
    return None if answers is None else msgspec.to_builtins(answers)
