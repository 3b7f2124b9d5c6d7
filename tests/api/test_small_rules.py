"""Rules of the address layer on their own: tags, nesting, declared commands, phones."""

from __future__ import annotations

import json
from io import BytesIO
from typing import Any

import msgspec
import pytest
from rest_framework.exceptions import ValidationError

from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.http.commands import Command
from practice.http.etags import parse_if_match
from practice.http.fields import PhoneField
from practice.http.parsers import DEEPEST, StrictJSONParser
from practice.http.serializers import _plain
from practice.people_and_places.serializers.facilities import RoomSerializer


class Pair(msgspec.Struct):
    left: int
    right: int


def parsed(body: str) -> object:
    return StrictJSONParser().parse(BytesIO(body.encode()))


@pytest.mark.parametrize(
    ("tag", "version"), [('"0"', 0), (' "12" ', 12), ('"12-0123456789abcdef"', 12)]
)
def test_a_tag_names_its_version(tag: str, version: int) -> None:
    assert parse_if_match(tag) == parse_if_match(tag, required=True) == version


def test_any_version_will_do_only_where_none_is_required() -> None:
    assert parse_if_match(" * ") is None
    assert parse_if_match(None) is None
    for header, status in (("*", 400), (None, 428)):
        with pytest.raises(Rejected) as refusal:
            parse_if_match(header, required=True)
        assert refusal.value.status == status


@pytest.mark.parametrize("tag", ['W/"1"', '"01"', '"1', "1", '"1", "2"', '"-1"', ""])
def test_what_is_no_tag_is_400(tag: str) -> None:
    with pytest.raises(Rejected) as refusal:
        parse_if_match(tag)
    assert refusal.value.status == 400


def test_a_body_is_nested_as_deep_as_allowed_and_no_deeper() -> None:
    def nested(levels: int) -> str:
        return (
            '{"a":' * (levels // 2)
            + "[" * (levels - levels // 2)
            + ("]" * (levels - levels // 2) + "}" * (levels // 2))
        )

    parsed(nested(DEEPEST))
    with pytest.raises(Rejected) as refusal:
        parsed(nested(DEEPEST + 1))
    assert str(DEEPEST) in refusal.value.detail


@pytest.mark.parametrize(
    ("number", "taken"), [(2**63 - 1, True), (-(2**63) + 1, True), (2**63, False)]
)
def test_a_whole_number_fits_a_column(number: int, taken: bool) -> None:
    if taken:
        assert parsed(json.dumps({"a": number})) == {"a": number}
        return
    with pytest.raises(Rejected):
        parsed(json.dumps({"a": number}))


@pytest.mark.parametrize("body", ['{"a":1,"a":2}', '{"a":1e999}', '{"a":NaN}', '"\\ud800"'])
def test_what_no_column_holds_is_refused(body: str) -> None:
    with pytest.raises(Rejected) as refusal:
        parsed(body)
    assert (refusal.value.code, refusal.value.status) == ("malformed_json", 400)


def test_structs_are_shown_as_objects_wherever_they_stand() -> None:
    pair, shown = Pair(1, 2), {"left": 1, "right": 2}
    assert _plain({"one": pair, "some": (pair, [pair])}) == {"one": shown, "some": [shown, [shown]]}


@pytest.mark.parametrize(("blanks", "taken"), [(27, True), (28, False)])
def test_a_phone_number_has_at_most_40_characters_as_written(blanks: int, taken: bool) -> None:
    text = "+1 415" + " " * blanks + "5550123"
    assert len(text) == blanks + 13
    field = PhoneField()
    if taken:
        assert (len(text), field.run_validation(text)) == (40, "+14155550123")
        return
    with pytest.raises(ValidationError) as refused:
        field.run_validation(text)
    assert "40 characters" in str(refused.value)


def test_a_command_declares_what_it_answers_and_how_or_neither() -> None:
    usual: dict[str, Any] = {"tag": "toys", "roles": {Role.OWNER}, "execute": print}
    Command("Delete", **usual)
    Command("Write", **usual, output=RoomSerializer, render=lambda _uow, row: row)
    halves: list[dict[str, Any]] = [{"output": RoomSerializer}, {"render": lambda _uow, row: row}]
    for half in halves:
        with pytest.raises(TypeError, match="both an output and its renderer"):
            Command("Write", **usual, **half)
