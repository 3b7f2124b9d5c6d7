"""What the walk of operations found: nulls within lists, and numbers where ids stand."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework import serializers

from practice.http.serializers import StrictSerializer


class Item(StrictSerializer):
    name = serializers.CharField()


class Form(StrictSerializer):
    items = Item(many=True, required=False, allow_null=True)
    person = serializers.UUIDField(required=False)
    people = serializers.ListField(child=serializers.UUIDField(), required=False)


def wrong(sent: dict[str, Any]) -> set[str]:
    form = Form(data=sent)
    form.is_valid()
    return set(form.errors)


def test_null_is_no_item_of_a_list_that_may_be_null() -> None:
    assert wrong({"items": [None]}) == {"items"}
    assert wrong({"items": None}) == wrong({"items": [{"name": "x"}]}) == set()


@pytest.mark.parametrize("number", [True, False, 0, 5, 10**30])
def test_a_number_is_no_id(number: int) -> None:
    assert wrong({"person": number}) == {"person"}
    assert wrong({"people": [number]}) == {"people"}
    known = "0b1f0c5e-9d0b-4b57-8a62-3f1a6f1b7e10"
    assert wrong({"person": known, "people": [known]}) == set()
