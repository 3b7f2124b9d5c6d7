"""Fields that several forms of the clients app have."""

from __future__ import annotations

import re
from typing import Any, Final

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from clients.identity.domain.partial_dates import DatePrecision, PartialDate, of_month, of_year
from practice.http.fields import EARLIEST_YEAR, LATEST_YEAR, DayField, InstantField
from practice.http.serializers import RecordSerializer

LONGEST_TEXT = 2000
FEWEST_DIGITS: Final = 4
_PHONE_SIGNS: Final = re.compile(r"\A[0-9 +()./-]+\Z", re.ASCII)
_YEAR_OR_MONTH: Final = re.compile(r"\A(?P<year>[0-9]{4})(-(?P<month>0[1-9]|1[0-2]))?\Z")


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


@extend_schema_field({"type": "string", "pattern": "^[0-9 +()./-]+$", "example": "0123"})
class PhoneEndField(serializers.CharField):
    """A phone number or its last digits, four at least."""

    def to_internal_value(self, data: Any) -> Any:
        """The digits alone."""
        text = super().to_internal_value(data)
        if not text:
            return text
        digits = "".join(sign for sign in text if sign.isdigit())
        if not _PHONE_SIGNS.match(text) or len(digits) < FEWEST_DIGITS:
            raise serializers.ValidationError(
                f"Give a phone number or at least its last {FEWEST_DIGITS} digits, e.g. 0123."
            )
        return digits


def occurred_at_field() -> InstantField:
    """When it happened, for what is entered late."""
    return InstantField(
        required=False,
        help_text="When it happened, with offset, if not now: `2026-03-02T09:30:00-05:00`.",
    )


def language_field(help_text: str, **more: Any) -> serializers.RegexField:
    """A language by its BCP 47 tag."""
    return serializers.RegexField(
        r"\A[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*\Z",
        max_length=20,
        help_text=help_text,
        error_messages={"invalid": "Give a BCP 47 tag, e.g. `en` or `es-MX`."},
        **more,
    )


class RecordVersionOutputSerializer(RecordSerializer):
    """The version of the record that a change led to; send it as If-Match next time."""

    version = serializers.IntegerField(help_text="Version of the client's record, e.g. 12.")
