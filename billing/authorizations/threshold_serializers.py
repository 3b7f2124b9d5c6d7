"""A client's year so far with a payer, on the wire."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from billing.authorizations.domain.yearly_thresholds import ThresholdState
from billing.payers.domain.rates import ThresholdMeasure
from practice.http.fields import EnumField
from practice.http.serializers import StrictSerializer


class ThresholdBalanceOutputSerializer(StrictSerializer):
    """A payer's yearly threshold and what the client's visits count towards it."""

    year = serializers.IntegerField(help_text="Calendar year, e.g. 2026.")
    measure = EnumField(ThresholdMeasure, help_text="What is summed: `amount` or `units`.")
    currency = serializers.CharField(help_text="Currency of amounts, e.g. `USD`.")
    codes = serializers.ListField(
        child=serializers.CharField(), help_text="Only of these service codes; none: of all."
    )
    value = serializers.CharField(
        help_text='Beyond it the payer wants a mark or a review, e.g. `"2400.00"`.'
    )
    used = serializers.CharField(help_text='What is known to count, e.g. `"1980.50"`.')
    visits_without_amount = serializers.IntegerField(
        help_text="Visits of which something has no rate, so that more was used than is known."
    )
    state = EnumField(ThresholdState, help_text="`below`, `near` or `crossed`.")
    source = serializers.CharField(  # type: ignore[assignment]  # shadows a field's own
        help_text="Where the threshold is from."
    )

    def to_representation(self, instance: Any) -> Any:
        """One balance with its state."""
        threshold = instance.threshold
        return {
            "year": instance.year,
            "measure": threshold.measure.value,
            "currency": instance.currency,
            "codes": sorted(threshold.codes),
            "value": instance.shown(threshold.value),
            "used": instance.shown(instance.used),
            "visits_without_amount": instance.visits_without_amount,
            "state": instance.state.value,
            "source": threshold.source,
        }
