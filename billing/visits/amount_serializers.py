"""What a payer is expected to pay for a visit, on the wire."""

from __future__ import annotations

from typing import Any

import msgspec
from rest_framework import serializers

from billing.authorizations.domain.events import ExpectedAmount
from practice.http.serializers import StrictSerializer


class ExpectedAmountOutputSerializer(StrictSerializer):
    """The units used by the payer's rates of the visit's day."""

    currency = serializers.CharField(help_text="Currency (ISO 4217), e.g. `USD`.")
    total = serializers.CharField(
        allow_null=True,
        help_text='The whole amount, e.g. `"93.75"`; null: unknown, because a code has no rate.',
    )
    by_code = serializers.DictField(
        child=serializers.CharField(), help_text='Amount per code, e.g. `{"STR15": "62.50"}`.'
    )
    codes_without_rate = serializers.ListField(
        child=serializers.CharField(), help_text="Codes used without a rate on record for the day."
    )


def shown_amount(amount: ExpectedAmount | None) -> dict[str, Any] | None:
    """An amount as decimal strings; None where nothing was used."""
    if amount is None:
        return None
    total = amount.total
    return {
        "currency": amount.currency,
        "total": None if total is None else f"{total:.2f}",
        "by_code": {code: f"{one:.2f}" for code, one in amount.by_code.items()},
        "codes_without_rate": list(amount.codes_without_rate),
    }


def shown_row_amount(plain: dict[str, Any] | None) -> dict[str, Any] | None:
    """The same from a row of the read table."""
    return None if plain is None else shown_amount(msgspec.convert(plain, ExpectedAmount))
