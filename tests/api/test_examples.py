"""Every body that may be sent has a worked example, which fits its schema and goes through."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any, Final
from uuid import uuid4

import jsonschema  # type: ignore[import-untyped]
import pytest

from practice.clock import clock
from practice.http.examples import example_id, example_version
from tests.api.description import Operation, document, operations
from tests.api.prepared import BEFORE, NOW, THINGS, Prepared
from tests.builders import Api, version_of

WRITES = [one for one in operations() if one.method != "GET"]
BODIES = [one for one in WRITES if one.body is not None]
VERSIONS: Final = ("corrections", "coverable visits")
HOW: Final = """{one} has no worked example, or one that does not go through.
Write it where the body is declared, as the serializer's `example = {{...}}`, or, where two
methods share the serializer, as `example={{...}}` of this method's Command:
  - an id of something that exists: `example_id("client")` (practice/http/examples.py); the names
    that tests/api/prepared/ makes: {names}.
    Another name needs an entry in its THINGS, which makes the thing and gives its id.
  - days and times around noon in the east on Monday 2026-03-09, when examples are sent.
  - what must have happened before (a draft before its signature): an entry
    BEFORE["{one}"] in tests/api/prepared/; it may set `role`, `made`, and `match` where
    If-Match takes another version than that of a GET of the same path."""


def how(one: Operation) -> str:
    return HOW.format(one=one, names=", ".join(sorted(THINGS)))


@pytest.mark.parametrize("one", BODIES, ids=str)
def test_every_body_has_an_example_that_fits_its_schema(one: Operation) -> None:
    assert one.example is not None, how(one)
    assert one.body is not None
    schema = {**one.body["schema"], "components": document()["components"]}
    checker = jsonschema.Draft202012Validator(
        schema, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )
    wrong = [f"{error.json_path}: {error.message}" for error in checker.iter_errors(one.example)]
    assert wrong == [], how(one)


@pytest.mark.parametrize("one", BODIES, ids=str)
def test_an_example_shows_what_must_be_sent_and_more_than_an_empty_body(one: Operation) -> None:
    assert one.example, how(one)


@pytest.fixture
def prepared(db: None) -> Iterator[Prepared]:
    with ExitStack() as stack:
        stack.enter_context(clock.at(NOW))
        yield Prepared(stack)


def with_real_ids(given: Any, prepared: Prepared) -> Any:
    """The example with the ids of what was made where it has those of examples."""
    names = {example_id(thing): thing for thing in THINGS}
    names |= {example_version(thing): thing for thing in VERSIONS}

    def real(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: real(item) for key, item in value.items()}
        if isinstance(value, list | tuple):
            return [real(item) for item in value]
        return prepared.id(names[value]) if isinstance(value, str) and value in names else value

    return real(given)


@pytest.mark.parametrize("one", WRITES, ids=str)
def test_every_example_goes_through(prepared: Prepared, one: Operation) -> None:
    """Writes without a body too: they are sent as they are described."""
    if str(one) in BEFORE:
        BEFORE[str(one)](prepared)
    sent = with_real_ids(one.example, prepared)
    path = one.with_ids(PathIds(prepared))
    role = prepared.role_for(one)
    api = Api() if role is None else prepared.api(role)
    match = prepared.match
    if match is None and one.requires_version:
        match = version_of(api.get(path))
    answer = api.send(one.method, path, sent, key=str(uuid4()), match=match)
    assert 200 <= answer.status_code < 300, f"{answer.content.decode()}\n{how(one)}"
    assert answer.status_code in one.statuses


class PathIds:
    """The ids of a path: ``client_id`` is the id of the thing ``client``."""

    def __init__(self, prepared: Prepared) -> None:
        self.prepared = prepared

    def get(self, name: str) -> str:
        """The id; a code of the catalogue is one that it has."""
        return "triceps" if name == "code" else self.prepared.id(name.removesuffix("_id"))


def test_what_is_prepared_is_asked_for() -> None:
    """No name without an operation, so that a renamed one is not prepared for nothing."""
    assert set(BEFORE) <= {str(one) for one in WRITES}
