"""Fields that check what the trade's identifiers and times must look like."""

from __future__ import annotations

import re
import unicodedata
from datetime import UTC, date, datetime
from functools import lru_cache
from typing import Any, Final

import phonenumbers
import pycountry
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from practice.core.localtime import EnteredTime, Fold, zone_names
from practice.core.npi import npi_is_valid
from practice.http.enum_names import Kind, choices_of

EARLIEST_YEAR: Final = 1900
LATEST_YEAR: Final = 2200
_DIGITS: Final = re.compile(r"\A-?[0-9]{1,18}\Z")


class EnumField(serializers.ChoiceField):
    """One of a closed list of the trade's words; gives the member of the enum."""

    def __init__(self, kind: Kind, **kwargs: Any) -> None:
        self.kind = kind
        super().__init__(choices=choices_of(kind), **kwargs)

    def to_internal_value(self, data: Any) -> Any:
        """The member of the enum; 400 names the list."""
        if data == "" and self.allow_blank:
            return ""
        if not isinstance(data, str) or data not in {m.value for m in self.kind}:
            raise serializers.ValidationError(f"Give one of: {', '.join(self.kind)}.")
        return self.kind(data)

    def to_representation(self, value: Any) -> Any:
        return str(value)


class TextField(serializers.CharField):
    """Text as typed: a string, trimmed, within its length, without control characters."""

    def to_internal_value(self, data: Any) -> Any:
        """The trimmed text; 400 for numbers and for invisible control characters."""
        if not isinstance(data, str):
            raise serializers.ValidationError("Give a string.")
        text = super().to_internal_value(data)
        if any(ord(sign) < 32 and sign not in "\n\r\t" for sign in text):
            raise serializers.ValidationError("Control characters are not taken.")
        return text


_NOT_IN_NAMES = ("Cc", "Zl", "Zp")
"""Categories of characters that break a line or are no sign at all (Unicode, UAX #44)."""
_DIRECTIONS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Marks that turn the direction in which a text is shown (Unicode, UAX #9)."""


class NameField(TextField):
    """A name or a number on paper: text on one line, shown in the order in which it was typed."""

    def to_internal_value(self, data: Any) -> Any:
        """The trimmed name; 400 for line breaks and for marks of direction."""
        text = super().to_internal_value(data)
        if any(unicodedata.category(sign) in _NOT_IN_NAMES or sign in _DIRECTIONS for sign in text):
            raise serializers.ValidationError(
                "Write it on one line, without tabs and marks of writing direction."
            )
        return text


class FlagField(serializers.BooleanField):
    """true or false of JSON, not words that look like it."""

    def to_internal_value(self, data: Any) -> Any:
        if self.context.get("from_query") and data in ("true", "false"):
            return data == "true"
        if not isinstance(data, bool):
            raise serializers.ValidationError("Give true or false.")
        return data


class WholeNumberField(serializers.IntegerField):
    """A whole number of JSON within the limits given."""

    def to_internal_value(self, data: Any) -> Any:
        """The number; 400 for strings, flags and fractions."""
        if self.context.get("from_query") and _DIGITS.match(data):
            data = int(data)
        if isinstance(data, bool) or not isinstance(data, int):
            raise serializers.ValidationError("Give a whole number.")
        return super().to_internal_value(data)


@extend_schema_field({"type": "string", "example": "+14155550123"})
class PhoneField(serializers.CharField):
    """A phone number; kept in E.164 (ITU-T). Without country code: United States."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> Any:
        """The number in E.164."""
        text = super().to_internal_value(data)
        if not text:
            return text
        # The framework would measure what is kept, not this.
        if self.max_length is not None and len(text) > self.max_length:
            self.fail("max_length", max_length=self.max_length)
        try:
            number = phonenumbers.parse(text, "US")
        except phonenumbers.NumberParseException:
            number = None
        if number is None or not phonenumbers.is_possible_number(number):
            raise serializers.ValidationError(
                "This is no phone number; give it with country code, e.g. +1 415 555 0123."
            )
        if number.extension:
            raise serializers.ValidationError(
                "Extensions are not kept: give the number without, e.g. +1 415 555 0123."
            )
        return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


@lru_cache(maxsize=1)
def jurisdiction_codes() -> frozenset[str]:
    """Every ISO 3166-2 code of a subdivision, e.g. US-CA."""
    return frozenset(part.code for part in pycountry.subdivisions)


_LOOKS_LIKE_A_SUBDIVISION = re.compile(r"[A-Z]{2}-[A-Z0-9]{1,3}")
_LOOKS_LIKE_A_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


@extend_schema_field({"type": "string", "example": "US-CA"})
class JurisdictionField(serializers.CharField):
    """A state or province as an ISO 3166-2 code."""

    def to_internal_value(self, data: Any) -> Any:
        """The code as written in the standard."""
        text = super().to_internal_value(data)
        if _LOOKS_LIKE_A_SUBDIVISION.fullmatch(text) and text not in jurisdiction_codes():
            raise serializers.ValidationError(f"There is no {text} in ISO 3166-2.")
        if text not in jurisdiction_codes():
            raise serializers.ValidationError("Give an ISO 3166-2 code, e.g. US-CA.")
        return text


@extend_schema_field({"type": "string", "example": "America/Los_Angeles"})
class ZoneField(serializers.CharField):
    """An IANA time zone by name."""

    def to_internal_value(self, data: Any) -> Any:
        """The name as the database has it."""
        text = super().to_internal_value(data)
        if text not in zone_names():
            raise serializers.ValidationError("Give an IANA time zone, e.g. America/New_York.")
        return text


@extend_schema_field({"type": "string", "pattern": "^[12][0-9]{9}$", "example": "1234567893"})
class NpiField(serializers.CharField):
    """A National Provider Identifier, checked by its check digit."""

    def to_internal_value(self, data: Any) -> Any:
        """The ten digits; an empty string means none."""
        text = super().to_internal_value(data)
        if text and not npi_is_valid(text):
            raise serializers.ValidationError(
                "Ten digits with a right check digit (Luhn over 80840), e.g. 1234567893."
            )
        return text


class DayField(serializers.DateField):
    """A calendar day, YYYY-MM-DD, in a year that can be."""

    def to_internal_value(self, value: Any) -> Any:
        if not isinstance(value, str):
            raise serializers.ValidationError("Give a date as YYYY-MM-DD.")
        if _LOOKS_LIKE_A_DAY.fullmatch(value):
            try:
                date.fromisoformat(value)
            except ValueError:
                raise serializers.ValidationError(
                    f"The calendar has no {value}: give a day that exists."
                ) from None
        day = super().to_internal_value(value)
        if not EARLIEST_YEAR <= day.year <= LATEST_YEAR:
            raise serializers.ValidationError(f"Give a year from {EARLIEST_YEAR} to {LATEST_YEAR}.")
        return day


def _parsed(text: Any) -> datetime:
    """A date-time of RFC 3339, naive or aware, in a year that can be."""
    try:
        found = datetime.fromisoformat(text)
    except (TypeError, ValueError):
        raise serializers.ValidationError("Give a time as 2026-03-09T09:30:00-07:00.") from None
    if len(text) < 16 or not EARLIEST_YEAR <= found.year <= LATEST_YEAR:
        raise serializers.ValidationError(
            f"Give date and time in a year from {EARLIEST_YEAR} to {LATEST_YEAR}."
        )
    return found


def instant_text(value: datetime) -> str:
    """RFC 3339 in the one form of all answers: `Z` for UTC, else the offset."""
    return value.isoformat().replace("+00:00", "Z")


@extend_schema_field(OpenApiTypes.DATETIME)
class InstantField(serializers.Field[Any, Any, Any, Any]):
    """An instant with its offset (RFC 3339); a time without one is refused."""

    def to_internal_value(self, data: Any) -> datetime:
        """The aware datetime."""
        found = _parsed(data)
        if found.tzinfo is None:
            raise serializers.ValidationError("Give the offset too: 2026-03-09T09:30:00-07:00.")
        return found

    def to_representation(self, value: Any) -> Any:
        """RFC 3339 with its offset."""
        return instant_text(value) if isinstance(value, datetime) else value


class KeptInstantField(InstantField):
    """An instant out of a row's JSON, which has it with the offset that it was sent with; shown
    in UTC, as those of all columns."""

    def to_representation(self, value: Any) -> Any:
        """RFC 3339 with `Z`."""
        moment = datetime.fromisoformat(value) if isinstance(value, str) else value
        return instant_text(moment.astimezone(UTC))


@extend_schema_field(
    {
        "oneOf": [
            {"type": "string", "format": "date-time", "example": "2026-03-09T09:30:00-07:00"},
            {
                "type": "object",
                "required": ["local"],
                "additionalProperties": False,
                "properties": {
                    "local": {"type": "string", "example": "2026-03-09T09:30"},
                    "fold": {"type": "string", "enum": [f.value for f in Fold]},
                },
            },
        ]
    }
)
class LocalOrInstantField(serializers.Field[Any, Any, Any, Any]):
    """An instant with offset, or ``{"local": "2026-03-09T09:30"}`` in the facility's zone.

    Gives a TypedTime; the service turns it into an instant with ``at(zone)``, which
    refuses a time in the gap and asks which of a fold (``fold``: earlier, later).
    """

    def to_internal_value(self, data: Any) -> EnteredTime:
        """The time as typed."""
        name = self.field_name or "local"
        if isinstance(data, str):
            found = _parsed(data)
            if found.tzinfo is None:
                raise serializers.ValidationError(
                    'Give the offset too, or a local time as {"local": "2026-03-09T09:30"}.'
                )
            return EnteredTime(instant=found, field=name)
        if not isinstance(data, dict) or not {"local"} <= data.keys() <= {"local", "fold"}:
            raise serializers.ValidationError(
                'Give an instant with offset, or {"local": ..., "fold": "earlier" | "later"}.'
            )
        local, fold = _parsed(data["local"]), data.get("fold")
        if local.tzinfo is not None:
            raise serializers.ValidationError("A local time has no offset.")
        if fold not in (None, *Fold):
            raise serializers.ValidationError("fold is 'earlier' or 'later'.")
        return EnteredTime(local=local, fold=Fold(fold) if fold else None, field=name)

    def to_representation(self, value: Any) -> Any:
        """RFC 3339 with its offset."""
        return instant_text(value) if isinstance(value, datetime) else value
