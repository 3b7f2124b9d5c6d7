"""Requests drawn from the program's own description, with ids that exist where one is asked for."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    response_schema_conformance,
    status_code_conformance,
)

CHECKS: list[Any] = [not_a_server_error, response_schema_conformance, status_code_conformance]
PROBLEM = "application/problem+json"
NOBODY = "00000000-0000-4000-8000-000000000404"
Ids = Mapping[str, Sequence[str]]


@cache
def operations() -> list[Any]:
    """Every operation of the description that the program serves."""
    from practice.wsgi import application

    schema = schemathesis.openapi.from_wsgi("/api/v1/schema", application)
    return [found.ok() for found in schema.get_all_operations()]


def taking_bodies() -> list[Any]:
    """The operations that take a body."""
    return [one for one in operations() if one.body]


def address(operation: Any, known: Ids) -> str:
    """The operation's path with ids that exist where such are known."""
    path: str = operation.path
    for name in re.findall(r"{(\w+)}", path):
        path = path.replace(f"{{{name}}}", (known.get(name) or [NOBODY])[0])
    return path


@cache
def example_body(operation: Any) -> Any:
    """One body that the description allows."""
    found: list[Any] = []

    @_once(seed_number=1, cases=1)
    @given(case=operation.as_strategy(generation_mode=GenerationMode.POSITIVE))
    def one(case: Any) -> None:
        found.append(case.body)

    one()
    return found[0]


def _once(*, seed_number: int, cases: int) -> Callable[[Any], Any]:
    """Draw so many cases, no more and no less, the same at every run."""
    limits = settings(
        max_examples=cases,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    return lambda test: seed(seed_number)(limits(test))


def with_known_ids(draw: Any, value: Any, known: Ids, name: str = "") -> Any:
    """The value with most ids replaced by ids that exist, so that requests get past the door."""
    if isinstance(value, dict):
        return {key: with_known_ids(draw, one, known, key) for key, one in value.items()}
    if isinstance(value, list):
        return [with_known_ids(draw, one, known, name.removesuffix("s")) for one in value]
    if isinstance(value, str) and known.get(name) and draw(st.integers(0, 9)) < 8:
        return draw(st.sampled_from(known[name]))
    return value


def fuzz(
    found: Sequence[Any], token: str, known: Ids, *, cases: int, number: int
) -> Counter[tuple[str, int]]:
    """Send that many requests as the owner of a token and check every answer.

    Returns how often each operation answered with each status.
    """
    answers: Counter[tuple[str, int]] = Counter()

    @_once(seed_number=number, cases=cases)
    @given(data=st.data())
    def one(data: Any) -> None:
        operation = data.draw(st.sampled_from(found))
        case = data.draw(operation.as_strategy())
        for part in ("path_parameters", "query", "body"):
            value = getattr(case, part)
            if isinstance(value, dict | list):
                setattr(case, part, with_known_ids(data.draw, value, known))
        # The call inside one process does not unpack what it says that it takes.
        headers = {"Authorization": f"Bearer {token}", "Accept-Encoding": "identity"}
        answer = case.call(headers=headers)
        answers[operation.label, answer.status_code] += 1
        case.validate_response(answer, checks=CHECKS, headers=headers)

    one()
    return answers
