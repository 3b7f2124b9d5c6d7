"""The database is away: every endpoint says 503 and when to try again, never 500."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

import psycopg
import pytest
from django.db import OperationalError, connection
from django.db.transaction import TransactionManagementError

from practice.core.terms import Role
from practice.http.unavailable import unavailability_of
from practice.management.processes import free_port
from tests.api.test_matrix import BY_NAME, methods_of, path_of
from tests.builders import PASSWORD, Api, Built, build_practice

NEEDS_NO_DATABASE = {"start", "health-live", "schema", "docs", "no-more-messages"}
SIGN_IN = {"username": "front_desk", "password": PASSWORD}


@contextmanager
def failing_after(statements: int) -> Iterator[None]:
    """The first statements of a request pass, every later one fails as a full disk does."""
    passed = 0

    def run(execute: Callable[..., Any], *args: Any) -> Any:
        nonlocal passed
        if passed >= statements:
            raise OperationalError("database or disk is full")
        passed += 1
        return execute(*args)

    def driven(cursor: Any, *args: Any, **options: Any) -> Any:
        nonlocal passed
        if passed >= statements:
            raise psycopg.OperationalError("database or disk is full")
        passed += 1
        return execute(cursor, *args, **options)

    if connection.vendor == "postgresql":
        # Some statements go to the driver past Django's cursor.
        execute = psycopg.Cursor.execute
        with patch.object(psycopg.Cursor, "execute", driven):
            yield
    else:
        with connection.execute_wrapper(run):
            yield


def answer_of(api: Api, method: str, name: str, *, away: Any) -> Any:
    """One request of a role that may make it, while the database is away."""
    body = SIGN_IN if name == "token-list" and method == "POST" else {}
    api.client.raise_request_exception = False
    send = getattr(api.client, method.lower())
    with away:
        return send(path_of(BY_NAME[name]), None if method == "GET" else body)


def is_unavailable(answer: Any) -> bool:
    """Whether an answer is a 503 as it must be."""
    return (
        answer.status_code == 503
        and answer["Content-Type"] == "application/problem+json"
        and int(answer["Retry-After"]) > 0
        and json.loads(answer.content)["code"] == "database_unavailable"
    )


def wrong_answers(api: Api, away: Callable[[], Any]) -> list[str]:
    """Every operation but the few that need no database: which did not answer 503."""
    found = []
    for name, entry in BY_NAME.items():
        for method in methods_of(entry) if name not in NEEDS_NO_DATABASE else ():
            answer = answer_of(api, method, name, away=away())
            if name == "health-ready":
                assert answer.status_code == 503
            elif not is_unavailable(answer):
                found.append(f"{method} {name}: {answer.status_code} {answer.content[:80]!r}")
    return found


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("role", [Role.OWNER, Role.FRONT_DESK])
def test_no_operation_answers_500_when_its_first_statement_fails(role: Role) -> None:
    built = build_practice()
    assert wrong_answers(built.api(role), lambda: failing_after(0)) == []


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("passed", [1, 2])
def test_a_database_that_goes_away_during_a_request_is_never_a_500(passed: int) -> None:
    built = build_practice()
    statuses: Counter[int] = Counter()
    for role in Role:
        api = built.api(role)
        for name, entry in BY_NAME.items():
            for method in methods_of(entry):
                away = failing_after(passed)
                statuses[answer_of(api, method, name, away=away).status_code] += 1
    assert statuses[500] == 0
    assert statuses[503] > 20


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgresql
def test_a_server_that_refuses_connections_is_503_everywhere() -> None:
    built = build_practice()
    api = built.api(Role.OWNER)
    wrong: list[str] = []
    port = connection.settings_dict["PORT"]
    connection.close()
    connection.settings_dict["PORT"] = str(free_port())
    try:
        wrong = wrong_answers(api, lambda: failing_after(1_000))
    finally:
        connection.settings_dict["PORT"] = port
        connection.close()
    assert wrong == []


def test_outside_the_framework_it_is_a_503_too(built: Built, monkeypatch: Any) -> None:
    def away(*args: object) -> None:
        raise OperationalError("unable to open database file")

    monkeypatch.setattr("practice.http.middleware.BodyLimit.__call__", away)
    client = built.api(Role.OWNER).client
    client.raise_request_exception = False
    assert is_unavailable(client.get("/api/v1/me"))


def broken_transaction() -> TransactionManagementError:
    """What is raised where a transaction is used again after its connection broke."""
    gone = OperationalError("gone")
    gone.__cause__ = psycopg.OperationalError("server closed the connection unexpectedly")
    error = TransactionManagementError("the transaction is broken")
    error.__context__ = gone
    return error


def test_a_transaction_that_is_used_after_its_connection_broke_is_an_outage() -> None:
    said = unavailability_of(broken_transaction())
    assert said is not None
    assert said.code == "database_unavailable"


def test_what_is_refused_before_anyone_is_asked_for_stays_that_refusal(built: Built) -> None:
    client = built.api(Role.OWNER).client
    client.raise_request_exception = False
    with failing_after(0):
        answer = client.get("/api/v1/me", headers={"accept": "application/xml"})
    assert answer.status_code == 406


def test_a_refusal_that_cannot_be_kept_stays_a_refusal(built: Built) -> None:
    client = built.api(Role.FRONT_DESK).client
    client.raise_request_exception = False
    with failing_after(1):
        assert client.get("/api/v1/staff").status_code == 403


@pytest.mark.parametrize(
    "error",
    [
        OperationalError("no such table: practice_staff"),
        TransactionManagementError("nested"),
        RuntimeError("a fault of the program"),
    ],
)
def test_a_fault_of_the_program_is_no_outage(error: Exception) -> None:
    assert unavailability_of(error) is None
