"""No request, however bad, breaks the program: no 5xx, no answer that is not described."""

import json
from collections import Counter
from typing import Any
from uuid import uuid4

import pytest
from django.http import HttpResponse
from rest_framework.test import APIClient

from practice.core.terms import Role
from tests.builders import token_for
from tests.conftest import FULL
from tests.harness.furnishing import Furnished, furnished
from tests.harness.fuzzing import (
    NOBODY,
    PROBLEM,
    address,
    example_body,
    fuzz,
    operations,
    taking_bodies,
)

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.harness]
CASES_PER_ROLE = (10_000 if FULL else 200) // len(Role)

HOSTILE = {
    "null": "a\x00b",
    "right to left": "\u202egnp.exe\u202c שלום",
    "emoji": "👩🏽‍🦽🩹",
    "long": "x" * 10_000,
    "formula": '=HYPERLINK("http://example.invalid","x")',
    "markup": "<script>alert(1)</script>'; DROP TABLE x; --",
    "blank": " \t\n ",
    "combining": "e" + "\u0301" * 500,
    "half a surrogate": "\ud800",
}


@pytest.fixture
def built() -> Furnished:
    return furnished()


def test_every_answer_to_made_up_requests_is_as_described(built: Furnished) -> None:
    statuses: Counter[int] = Counter()
    for number, role in enumerate(Role):
        token = token_for(built.staff[role])
        answers = fuzz(operations(), token, built.known, cases=CASES_PER_ROLE, number=number)
        for (_, status), count in answers.items():
            statuses[status // 100] += count
    assert sum(statuses.values()) >= CASES_PER_ROLE * len(Role)
    assert statuses[2] >= len(Role), "hardly a request came through: the fuzzing proves little"


def with_strings(value: Any, hostile: str) -> Any:
    """The body with every text that is no id, date or choice of its own replaced."""
    if isinstance(value, dict):
        return {key: with_strings(one, hostile) for key, one in value.items()}
    if isinstance(value, list):
        return [with_strings(one, hostile) for one in value]
    return hostile if isinstance(value, str) else value


def sent(method: str, path: str, content: bytes, token: str) -> HttpResponse:
    """The body as it is."""
    client = APIClient(raise_request_exception=False)
    client.credentials(
        HTTP_AUTHORIZATION=f"Bearer {token}", HTTP_IDEMPOTENCY_KEY=str(uuid4()), HTTP_IF_MATCH='"1"'
    )
    data: Any = content  # The stubs know of text only.
    answer: HttpResponse = client.generic(method, path, data, content_type="application/json")
    return answer


def unfair(answer: HttpResponse) -> bool:
    """Whether an answer is a breakdown, or a refusal that is no problem document."""
    refused = answer.status_code >= 400
    return answer.status_code >= 500 or (refused and answer["Content-Type"] != PROBLEM)


def some_of(kinds: dict[str, Any], number: int) -> list[tuple[str, Any]]:
    """Three kinds of bad input for each operation, others for the next; all at full length."""
    every = list(kinds.items())
    if FULL:
        return every
    return [every[(number * 3 + step) % len(every)] for step in range(3)]


def told(label: str, what: str, answer: HttpResponse) -> str:
    return f"{label}: {what}: {answer.status_code} {answer.content[:300]!r}"


def test_hostile_texts_in_every_body_are_taken_or_refused_with_a_problem(built: Furnished) -> None:
    token = token_for(built.staff[Role.OWNER])
    faults = []
    for number, operation in enumerate(taking_bodies()):
        path, body = address(operation, built.known), example_body(operation)
        for what, hostile in some_of(HOSTILE, number):
            content = json.dumps(with_strings(body, hostile)).encode()
            answer = sent(operation.method, path, content, token)
            if unfair(answer):
                faults.append(told(operation.label, what, answer))
    assert faults == []


def nested(depth: int) -> bytes:
    return b'{"x":' + b"[" * depth + b"]" * depth + b"}"


MISSHAPEN = {
    "no JSON": (b"{", 400),
    "a list": (b"[]", 400),
    "a text": (b'"x"', 400),
    "not a number": (b'{"x": NaN}', 400),
    "no UTF-8": (b'{"x": "\xff\xfe"}', 400),
    "nested 60 deep": (nested(60), 400),
    "nested 100,000 deep": (nested(100_000), 400),
    "more than a megabyte": (b'{"x": "' + b"y" * 1_100_000 + b'"}', 413),
}


def test_a_misshapen_body_is_refused_with_a_problem_that_says_so(built: Furnished) -> None:
    tokens = [token_for(one) for one in built.staff.values()]
    faults = []
    for number, operation in enumerate(taking_bodies()):
        path = address(operation, built.known)
        # The first of the four roles to whom the address is open.
        token = next(
            one for one in tokens if sent(operation.method, path, b"{", one).status_code != 403
        )
        for what, (content, status) in some_of(MISSHAPEN, number):
            answer = sent(operation.method, path, content, token)
            right = {status, 404} if NOBODY in path else {status}
            if unfair(answer) or answer.status_code not in right:
                faults.append(told(operation.label, what, answer))
    assert faults == []
