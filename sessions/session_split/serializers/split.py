"""The split of a session as it is suggested, sent and shown."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Role
from practice.http.fields import FlagField, TextField, WholeNumberField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.reasons import shown_reasons
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.session_split.domain.suggestion import SuggestedSplit


class SessionSplitQueryInputSerializer(StrictSerializer):
    """What is not on record about the client."""

    sedentary = FlagField(
        required=False, help_text="Not used to exercise; counts as true where not said."
    )
    tolerates_little = FlagField(
        required=False,
        help_text="Little was tolerated lately; from the client's fatigue where not said.",
    )


class SplitPartOutputSerializer(RecordSerializer):
    """One part of the session."""

    part = serializers.CharField(help_text="stretching, cardio, strength, measuring_and_talk.")
    minutes = serializers.IntegerField(help_text="Whole minutes.")
    payable = serializers.BooleanField(
        allow_null=True, help_text="The payer pays for it; null: there is no payer."
    )
    note = serializers.CharField(help_text="E.g. `easy walking`.")


class LoadingCriteriaOutputSerializer(RecordSerializer):
    """Whether a limb may carry external load."""

    limb = serializers.CharField(
        help_text="`left_arm`, `right_arm`, `left_leg`, `right_leg` or `trunk`."
    )
    open = serializers.BooleanField(help_text="It meets the criteria: it may be loaded.")
    reasons = ReasonForm(many=True, help_text="Why not, with where each number is from.")
    cautions = ReasonForm(many=True, help_text="What to heed while it is loaded.")


def serialize_loading_criteria(role: Role, split: SuggestedSplit) -> list[dict[str, Any]]:
    """The loading criteria of a split, limb by limb."""
    return [
        {
            "limb": one.limb,
            "open": one.open,
            "reasons": shown_reasons(role, one.reasons),
            "cautions": shown_reasons(role, one.cautions),
        }
        for one in split.loading_criteria
    ]


class PractitionerSplitOutputSerializer(RecordSerializer):
    """The practitioner's own split."""

    minutes = serializers.DictField(child=serializers.IntegerField(), help_text="By part.")
    reason = serializers.CharField(help_text="Why it goes against the loading criteria.")
    unmet_criteria = ReasonForm(many=True, help_text="The loading criteria it does not meet.")


class SessionSplitOutputSerializer(RecordSerializer):
    """The suggested split; the practitioner's own wins."""

    session_id = serializers.UUIDField(help_text="The session.")
    booked_minutes = serializers.IntegerField(help_text="Its length; the parts sum to it.")
    parts = SplitPartOutputSerializer(many=True, help_text="The suggestion.")
    reasons = ReasonForm(many=True, help_text="Why; practice policy throughout.")
    loading_criteria = LoadingCriteriaOutputSerializer(
        many=True, help_text="Which limbs may carry load."
    )
    practitioner_split = PractitionerSplitOutputSerializer(
        allow_null=True, help_text="The practitioner's own split."
    )
    settings_revision = serializers.IntegerField(help_text="Of the settings used.")
    stretches = serializers.ListField(
        child=serializers.DictField(), help_text="The stretches prescribed: code, name, side."
    )


class SessionSplitInputSerializer(StrictSerializer):
    """The practitioner's own split: whole minutes of every part, summing to the length."""

    example = {
        "stretching": 30,
        "cardio": 15,
        "strength": 10,
        "measuring_and_talk": 5,
        "reason": "The client asked for more walking.",
    }

    stretching = WholeNumberField(min_value=0, max_value=480, help_text="Minutes, e.g. 30.")
    cardio = WholeNumberField(min_value=0, max_value=480, help_text="Minutes, e.g. 15.")
    strength = WholeNumberField(min_value=0, max_value=480, help_text="Minutes, e.g. 10.")
    measuring_and_talk = WholeNumberField(min_value=0, max_value=480, help_text="Minutes, e.g. 5.")
    reason = TextField(
        required=False,
        allow_blank=True,
        max_length=1000,
        help_text="Why; needed where loading criteria are not met.",
    )
    sedentary = FlagField(required=False, help_text="Not used to exercise.")
