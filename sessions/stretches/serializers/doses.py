"""Stretches prescribed, re-checks, home exercises as they are sent and shown."""

from __future__ import annotations

from practice.core.terms import Technique
from practice.http.fields import (
    EnumField,
    WholeNumberField,
)
from practice.http.serializers import StrictSerializer
from sessions.catalogue.domain.terms import Dose


class DoseInputSerializer(StrictSerializer):
    """How much of one technique."""

    command = Dose

    technique = EnumField(Technique, help_text="Technique, e.g. `active_isolated`.")
    repetitions = WholeNumberField(min_value=1, max_value=100, help_text="Repetitions, e.g. 10.")
    hold_seconds = WholeNumberField(min_value=0, max_value=600, help_text="Seconds held, e.g. 2.")
    contract_seconds = WholeNumberField(
        required=False,
        allow_null=True,
        min_value=1,
        max_value=600,
        help_text="Contract–relax only: seconds pushed against the hand, e.g. 5.",
    )
    sets = WholeNumberField(required=False, min_value=1, max_value=20, help_text="Rounds, e.g. 1.")
    days_per_week = WholeNumberField(
        required=False, allow_null=True, min_value=1, max_value=7, help_text="Days a week, e.g. 3."
    )
