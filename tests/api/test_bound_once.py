"""Forms are built once and keep nothing of one request for the next."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

import pytest
from rest_framework import serializers

from practice.core.terms import Role
from practice.http.fields import FlagField, TextField, WholeNumberField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.stretches.serializers.rechecks import (
    ClinicalRecheckOutputSerializer,
    RecheckOutputSerializer,
)
from tests.builders import build_practice, ok
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import discharged


class Inside(StrictSerializer):
    name = TextField()


class Form(StrictSerializer):
    number = WholeNumberField()
    wanted = FlagField(default=True)
    inside = Inside(required=False)


class Shown(RecordSerializer):
    role = serializers.SerializerMethodField()

    def get_role(self, row: Any) -> str:
        return f"{row} as {self.context.get('role', 'anybody')}"


def test_the_fields_of_a_class_are_built_once() -> None:
    assert Form().fields is Form().fields
    assert Form().fields["inside"].fields is Form().fields["inside"].fields


def test_a_form_keeps_nothing_of_what_was_read_before() -> None:
    assert Form.read({"number": 1, "inside": {"name": "a"}}) == {
        "number": 1,
        "wanted": True,
        "inside": {"name": "a"},
    }
    assert Form.read({"number": 2}) == {"number": 2, "wanted": True}


def test_a_partial_form_leaves_whole_fields_out_and_no_other_form_does_after_it() -> None:
    assert Form.read({}, partial=True) == {}
    with pytest.raises(serializers.ValidationError) as missing:
        Form.read({})
    assert set(missing.value.detail) == {"number"}
    with pytest.raises(serializers.ValidationError) as inside:
        Form.read({"inside": {}}, partial=True)
    assert set(inside.value.detail) == {"inside"}


def test_words_are_numbers_in_a_query_string_and_nowhere_else_after_it() -> None:
    asked = {"number": "3", "wanted": "false"}
    assert Form.checked(asked, from_query=True) == {"number": 3, "wanted": False}
    with pytest.raises(serializers.ValidationError) as refused:
        Form.checked(asked)
    assert set(refused.value.detail) == {"number", "wanted"}


def test_what_is_shown_by_role_is_shown_by_the_role_of_that_request() -> None:
    assert Shown("a", context={"role": "owner"}).data == {"role": "a as owner"}
    assert Shown("a", context={"role": "desk"}).data == {"role": "a as desk"}
    assert Shown("a").data == {"role": "a as anybody"}


@pytest.mark.django_db
@pytest.mark.parametrize("role", [Role.FRONT_DESK, Role.PRACTITIONER])
def test_a_page_of_the_call_list_builds_no_fields(role: Role) -> None:
    built = build_practice()
    discharged(built, open_client(built))
    api = built.api(role)
    shown = ok(api.get("rechecks"))["results"]
    forms = (RecheckOutputSerializer, ClinicalRecheckOutputSerializer)
    building = [patch.object(form, "get_fields", side_effect=AssertionError) for form in forms]
    with building[0], building[1]:
        assert ok(api.get("rechecks"))["results"] == shown != []
