"""A value that should be an object is answered with the names of what belongs into it."""

from __future__ import annotations

from typing import Any

import pytest
from rest_framework import serializers
from rest_framework.exceptions import ValidationError

from practice.http.serializers import StrictSerializer


class Asked(StrictSerializer):
    """An object of two fields, one of which has to be."""

    name = serializers.CharField()
    phone = serializers.CharField(required=False)


class Loose(StrictSerializer):
    """Nothing in it has to be."""

    phone = serializers.CharField(required=False)


class Whole(StrictSerializer):
    """Objects inside an object, alone and in a list."""

    asked_of = Asked(required=False)
    others = Asked(many=True, required=False)
    loose = Loose(required=False)


SHAPE = 'An object is expected here, with name and perhaps phone, e.g. {"name": …}.'


def told(data: Any) -> Any:
    with pytest.raises(ValidationError) as caught:
        Whole.checked(data)
    return caught.value.detail


@pytest.mark.parametrize("wrong", ["surgeon", 3, ["surgeon"], True])
def test_what_is_no_object_is_told_its_fields(wrong: Any) -> None:
    assert told({"asked_of": wrong})["asked_of"]["non_field_errors"] == [SHAPE]
    assert told({"others": [wrong]})["others"][0]["non_field_errors"] == [SHAPE]


def test_what_is_no_list_is_told_what_each_of_it_is() -> None:
    found = told({"others": "surgeon"})["others"]["non_field_errors"]
    assert found == [f"A list is expected here. Each of it: {SHAPE}"]


def test_where_nothing_has_to_be_one_that_may_be_is_shown() -> None:
    found = told({"loose": "surgeon"})["loose"]["non_field_errors"]
    assert found == ['An object is expected here, perhaps phone, e.g. {"phone": …}.']


def test_the_body_itself_is_an_object_too() -> None:
    assert "asked_of" in told([])["non_field_errors"][0]
    assert Whole.checked({"asked_of": {"name": "Otto"}}) == {"asked_of": {"name": "Otto"}}
