"""Fields that several forms of the clients app have."""

from __future__ import annotations

import re
from math import isfinite
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from clients.health.domain.partial_dates import DatePrecision, PartialDate, of_month, of_year
from practice.core.terms import Movement, Region, Side
from practice.http.fields import EARLIEST_YEAR, LATEST_YEAR, DayField, EnumField
from practice.http.serializers import StrictSerializer

_YEAR_OR_MONTH = re.compile(r"\A(?P<year>[0-9]{4})(-(?P<month>0[1-9]|1[0-2]))?\Z")


@extend_schema_field(
    {
        "type": "string",
        "pattern": "^[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?$",
        "example": "2026-01",
    }
)
class PartialDateField(serializers.Field[Any, Any, Any, Any]):
    """A day, or as much of it as is known: YYYY-MM-DD, YYYY-MM or YYYY."""

    def to_internal_value(self, data: Any) -> PartialDate:
        """The last day that it can have been, and how much is known."""
        found = _YEAR_OR_MONTH.match(data) if isinstance(data, str) else None
        if found is None:
            if not isinstance(data, str) or len(data) != len("2026-01-12"):
                raise serializers.ValidationError("Give a date as YYYY-MM-DD, YYYY-MM or YYYY.")
            return PartialDate(DayField().run_validation(data), DatePrecision.DAY)
        year = int(found["year"])
        if not EARLIEST_YEAR <= year <= LATEST_YEAR:
            raise serializers.ValidationError(f"Give a year from {EARLIEST_YEAR} to {LATEST_YEAR}.")
        return of_month(year, int(found["month"])) if found["month"] else of_year(year)

    def to_representation(self, value: Any) -> Any:
        """The last possible day; the entry that it belongs to shows what is known."""
        return str(value)


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
