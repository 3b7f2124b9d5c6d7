"""Money on the wire: decimal strings and currencies."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any, Final

import pycountry
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

_AMOUNT: Final = re.compile(r"\A[0-9]{1,8}(\.[0-9]{1,2})?\Z")


@lru_cache(maxsize=1)
def currency_codes() -> frozenset[str]:
    """Every alphabetic currency code of ISO 4217, e.g. USD."""
    return frozenset(one.alpha_3 for one in pycountry.currencies)


@extend_schema_field({"type": "string", "pattern": "^[0-9]{1,8}(\\.[0-9]{1,2})?$"})
class AmountField(serializers.DecimalField):
    """A decimal string above zero with at most two places; never a number of JSON, which many
    programs read as a binary fraction."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_digits", 10)
        kwargs.setdefault("decimal_places", 2)
        super().__init__(**kwargs)

    def to_internal_value(self, data: Any) -> Any:
        """The decimal; 400 for numbers, signs, exponents and zero."""
        if not isinstance(data, str) or not _AMOUNT.match(data):
            raise serializers.ValidationError('Give a string of digits, e.g. "31.25".')
        amount = super().to_internal_value(data)
        if not amount:
            raise serializers.ValidationError("Give more than zero, or leave it out: unknown.")
        return amount


@extend_schema_field({"type": "string", "example": "USD"})
class CurrencyField(serializers.CharField):
    """A currency as an ISO 4217 code."""

    def to_internal_value(self, data: Any) -> Any:
        """The code as written in the standard."""
        text = super().to_internal_value(data)
        if text not in currency_codes():
            raise serializers.ValidationError("Give an ISO 4217 code, e.g. USD.")
        return text
