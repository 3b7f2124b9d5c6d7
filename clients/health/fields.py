"""Fields that several forms of the clients app have."""

from __future__ import annotations

from math import isfinite
from typing import Any

from rest_framework import serializers

from practice.core.terms import Movement, Region, Side
from practice.http.fields import EnumField
from practice.http.serializers import StrictSerializer


class BodySiteSerializer(StrictSerializer):
    """A region of the body on a side."""

    region = EnumField(Region, help_text="E.g. `shoulder`.")
    side = EnumField(Side, help_text="`left`, `right`, or `both`.")


class NumberField(serializers.FloatField):
    """A number of JSON."""

    wanted = "Give a number, e.g. 48."

    def to_internal_value(self, data: Any) -> Any:
        """The number; 400 for text, flags and what is no number."""
        number = isinstance(data, int | float) and not isinstance(data, bool)
        if not number or not isfinite(data):
            raise serializers.ValidationError(self.wanted)
        return super().to_internal_value(data)


class DegreesField(NumberField):
    """Degrees as a number of JSON."""

    wanted = "Give a number of degrees, e.g. 90."


class RangeLimitSerializer(StrictSerializer):
    """A movement that must not go beyond some degrees."""

    movement = EnumField(Movement, help_text="E.g. `shoulder_flexion`.")
    degrees = DegreesField(min_value=0, max_value=200, help_text="Greatest degrees, e.g. 90.")
