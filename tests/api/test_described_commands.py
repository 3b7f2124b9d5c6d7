"""What the description says of a command: its headers, and which fields a body must have."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import HttpResponse

from practice.core.terms import Role
from practice.http import commands, openapi
from practice.http.commands import Command
from practice.people_and_places.serializers.facilities import RoomSerializer


def described(monkeypatch: pytest.MonkeyPatch, **said: Any) -> dict[str, Any]:
    found: dict[str, Any] = {}

    def kept(**schema: Any) -> Any:
        found.update(schema)
        return lambda handler: handler

    monkeypatch.setattr(openapi, "extend_schema", kept)
    openapi.endpoint("A command", **said)(lambda: None)
    return found


@pytest.mark.parametrize(
    ("if_match", "headers", "statuses"),
    [
        (None, [], set()),
        ("optional", [("If-Match", False)], {412}),
        ("required", [("If-Match", True)], {412, 428}),
    ],
)
def test_the_version_a_command_asks_for_is_described(
    monkeypatch: pytest.MonkeyPatch,
    if_match: Any,
    headers: list[tuple[str, bool]],
    statuses: set[int],
) -> None:
    found = described(monkeypatch, if_match=if_match)
    assert [(one.name, one.required) for one in found["parameters"]] == headers
    told = {key[0] if isinstance(key, tuple) else key for key in found["responses"]}
    assert told & {412, 428} == statuses


@pytest.mark.parametrize("partial", [True, False])
def test_a_body_in_part_is_described_as_one_and_a_whole_body_is_not(
    monkeypatch: pytest.MonkeyPatch, partial: bool
) -> None:
    found: dict[str, Any] = {}

    def kept(_: str, **said: Any) -> Any:
        found.update(said)
        return lambda handler: handler

    monkeypatch.setattr(commands, "endpoint", kept)
    command = Command(
        "Write",
        tag="toys",
        roles={Role.OWNER},
        execute=print,
        input=RoomSerializer,
        partial=partial,
        output=RoomSerializer,
        render=lambda _uow, row: row,
    )
    command.described(lambda request: HttpResponse())
    whole = found["request"] is RoomSerializer
    assert whole is not partial
    if partial:
        assert found["request"].partial
