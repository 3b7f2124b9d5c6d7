"""Minutes by part, as notes and addenda take them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import SessionPart
from practice.http.fields import WholeNumberField

MINUTES_PER_DAY = 1440


class MinutesField(serializers.DictField):
    """Whole minutes by part: ``{"stretching": 40}``; null takes a part out."""

    child = WholeNumberField(min_value=0, max_value=MINUTES_PER_DAY, allow_null=True)

    def to_internal_value(self, data: Any) -> Any:
        """The minutes by part; 400 names the parts."""
        parts = [part.value for part in SessionPart]
        if isinstance(data, dict) and (unknown := sorted(set(map(str, data)) - set(parts))):
            known = f"Known parts are: {', '.join(parts)}."
            raise serializers.ValidationError({name: [known] for name in unknown[:20]})
        return super().to_internal_value(data)
