"""Fields that several forms of the clients floor have."""

from __future__ import annotations

from math import isfinite
from typing import Any

from rest_framework import serializers

from practice.api.fields import EnumField, InstantField
from practice.api.serializers import Strict
from practice.domain.terms import Movement, Region, Side

LONGEST_TEXT = 2000


class SiteForm(Strict):
    """A region of the body on a side."""

    region = EnumField(Region, help_text="E.g. `shoulder`.")
    side = EnumField(Side, help_text="`left`, `right`, or `both`.")


class DegreesField(serializers.FloatField):
    """Degrees as a number of JSON."""

    def to_internal_value(self, data: Any) -> Any:
        """The degrees; 400 for text, flags and what is no number."""
        number = isinstance(data, int | float) and not isinstance(data, bool)
        if not number or not isfinite(data):
            raise serializers.ValidationError("Give a number of degrees, e.g. 90.")
        return super().to_internal_value(data)


class RangeLimitForm(Strict):
    """A movement that must not go beyond some degrees."""

    movement = EnumField(Movement, help_text="E.g. `shoulder_flexion`.")
    degrees = DegreesField(min_value=0, max_value=200, help_text="Greatest degrees, e.g. 90.")


def occurred_at() -> InstantField:
    """When it happened, for what is entered late."""
    return InstantField(
        required=False,
        help_text="When it happened, with offset, if not now: `2026-03-02T09:30:00-05:00`.",
    )


class VersionForm(serializers.Serializer[Any]):
    """The version of the record that a change led to; send it as If-Match next time."""

    version = serializers.IntegerField(help_text="Version of the client's record, e.g. 12.")
