"""Every operation sent as every role that may use it, upon a practice prepared for it.

What is sent is the worked example of the description; what must have happened before is in
``tests/api/prepared/``. Each case begins with the same rows and leaves none behind.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from copy import copy
from functools import cache
from typing import Any, Final
from urllib.parse import urlencode
from uuid import uuid4

import jsonschema  # type: ignore[import-untyped]
from django.db import transaction

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.terms import Role
from practice.policy.models import PracticeSetting
from practice.policy.selectors import settings_group
from tests.api.description import Operation, document, operations
from tests.api.matrix import MATRIX
from tests.api.prepared import BEFORE, NOW, Prepared, someone_to_call
from tests.api.test_examples import PathIds, with_real_ids
from tests.builders import Api, Built, ok, version_of
from tests.sessions.people import registered

PROBLEM: Final = "application/problem+json"


def _rated(p: Prepared) -> dict[str, str]:
    return {"practitioner_id": p.id("practitioner"), "facility_id": p.id("facility")}


def _day(p: Prepared) -> str:
    """The day of a session that is booked."""
    session = ok(p.api(Role.OWNER).get(f"sessions/{p.id('session')}"))
    return str(session["local_date"])


QUERIES: Final[dict[str, Callable[[Prepared], dict[str, str]]]] = {
    "client-permissions": _rated,
    "reading-chart": lambda p: {"movement": "shoulder_abduction", "side": "left"},
    "open-times": lambda p: {
        "client_id": p.id("client"),
        "facility_id": p.id("facility"),
        "minutes": "60",
        "from": "2026-03-10",
        "to": "2026-03-12",
    },
    "day-sheet": lambda p: {"facility_id": p.id("facility"), "day": _day(p)},
    "day-sheet-printout": lambda p: {"facility_id": p.id("facility"), "day": _day(p)},
    "facility-holidays": lambda _p: {"year": "2026"},
    "waiting-fits": lambda p: {
        **_rated(p),
        "starts_at": "2026-03-17T10:00:00-04:00",
        "minutes": "60",
    },
    "payer-correction": lambda p: {"from": "2026-03-01", "to": "2026-03-31"},
}
"""What a read must be asked with, by its name."""

WHO: Final = {
    "reading-list-POST": "rater_id",
    "posture-list-POST": "observer_id",
    "circumferences-list-POST": "rater_id",
    "home-exercise-list-POST": "assigned_by",
}
"""Whom an owner, who is no practitioner, must name."""


def _password(p: Prepared) -> None:
    row = p.built.staff[p.role or Role.OWNER]
    row.set_password("the sentence I had before")
    row.save()


def _own_token(p: Prepared) -> None:
    tokens = ok(p.api(p.role or Role.OWNER).get("auth/tokens"))["results"]
    p.made["token"] = str(tokens[0]["id"])


def _to_be_agreed_to(p: Prepared) -> None:
    """In a practice with one owner a practitioner agrees; else another owner."""
    if p.role is Role.OWNER:
        BEFORE["erasure-approval-POST"](p)
    else:
        path = f"clients/{p.id('client')}/erasure"
        p.post(path, {"reason": "asked for", "before_retention": True})


def _not_reviewed(p: Prepared) -> None:
    """The front desk reads what was reported; what was reviewed it does not."""
    if p.role is Role.FRONT_DESK:
        p.made["client"] = str(registered(p.built))


def _summary(p: Prepared) -> None:
    p.id("visit")
    path = f"authorizations/{p.id('authorization')}/visit-summary"
    p.made["summary"] = p.post(
        path, {"recipient": "Lakeshore claims", "purpose": "review", "overrule": "Due today."}
    )["id"]


def _all_make_copies(_p: Prepared) -> None:
    """The practice lets the desk make copies of records too."""
    row = PracticeSetting.objects.get(group="record_requests", key="roles")
    row.value = ["owner", "front_desk"]
    row.save()


FOR_THE_ROLE: Final[dict[str, Callable[[Prepared], Any]]] = {
    "me-PATCH": _password,
    "token-detail-DELETE": _own_token,
    "erasure-approval-POST": _to_be_agreed_to,
    "health-history-GET": _not_reviewed,
    "visit-summary-GET": _summary,
    "call-list-GET": someone_to_call,
    "reminder-done-POST": lambda _p: None,
    "call-list-of-client-POST": someone_to_call,
    "record-request-list-POST": _all_make_copies,
    "record-request-GET": _all_make_copies,
    "record-request-printout-GET": _all_make_copies,
}
"""In place of what ``BEFORE`` does: here every role that may sends it, not only one."""


class Case:
    """One operation as one role, ready to be sent."""

    def __init__(self, one: Operation, role: Role, prepared: Prepared) -> None:
        self.one, self.role, self.prepared = one, role, prepared
        prepared.role = role
        before = FOR_THE_ROLE.get(str(one)) or BEFORE.get(str(one))
        if before is not None:
            before(prepared)
        self.body = with_real_ids(one.example, prepared)
        if role is Role.OWNER and str(one) in WHO:
            self.body = {**self.body, WHO[str(one)]: prepared.id("practitioner")}
        self.path = one.with_ids(_Ids(prepared))
        asked = QUERIES.get(one.name) if one.method == "GET" else None
        self.query = asked(prepared) if asked else {}
        self.api: Api = prepared.api(role)
        self.api.client.raise_request_exception = False
        self.match = prepared.match
        if one.method != "GET" and self.match is None and one.requires_version:
            self.match = version_of(self.api.get(self.path))

    def send(self) -> Any:
        """The example; a read as it must be asked."""
        if self.one.method == "GET":
            return self.api.get(self.path, self.query)
        key = str(uuid4())
        return self.api.send(self.one.method, self.path, self.body, match=self.match, key=key)

    def send_instead(self, body: Any) -> Any:
        """Another body in place of the example's, as bytes: no client's library mends it."""
        headers: dict[str, Any] = {"HTTP_IDEMPOTENCY_KEY": str(uuid4())}
        if self.match is not None:
            headers["HTTP_IF_MATCH"] = f'"{self.match}"'
        path = self.path if self.path.startswith("/") else f"/api/v1/{self.path}"
        content: Any = json.dumps(body).encode()  # The stubs know of text only.
        kind = "application/json"
        return self.api.client.generic(self.one.method, path, content, content_type=kind, **headers)

    def asked(self, query: str) -> Any:
        """A read with this query string added to what it must be asked with."""
        return self.api.get(f"{self.path}?{urlencode(self.query)}&{query}")

    def __str__(self) -> str:
        return f"{self.one} as {self.role}"


class _Ids(PathIds):
    def get(self, name: str) -> str:
        """What is no id of a thing: a group of settings and its first revision."""
        if name == "revision":
            return str(settings_group("permissions", installed.settings["permissions"])[1])
        return "permissions" if name == "group" else super().get(name)


def cases() -> Iterator[tuple[Operation, Role]]:
    """Every operation with every role that may use it."""
    for one in operations():
        for role in Role:
            if role.value in MATRIX[one.name][one.method]:
                yield one, role


@contextmanager
def case_of(built: Built, one: Operation, role: Role) -> Iterator[Case]:
    """A case upon the practice; what it writes is taken back. For tests in a transaction."""
    with ExitStack() as stack:
        stack.enter_context(clock.at(NOW))
        stack.enter_context(taken_back())
        own = copy(built)
        own.staff = dict(built.staff)
        yield Case(one, role, Prepared(stack, own))


@contextmanager
def taken_back() -> Iterator[None]:
    """What is written in the block is taken back at its end. For tests in a transaction."""
    block = transaction.atomic()
    block._from_testcase = True  # type: ignore[attr-defined]  # units of work are durable
    with block:
        yield
        transaction.set_rollback(True)


def unlike_described(one: Operation, answer: Any) -> str | None:
    """How an answer differs from what its operation describes, or None."""
    status, kind = answer.status_code, answer.headers.get("Content-Type", "").split(";")[0]
    if status not in one.statuses:
        return f"{status} is not described: {answer.content[:200]!r}"
    described = one.said["responses"][str(status)].get("content", {})
    if not described:
        return None if not answer.content else f"{status} has a body and none is described"
    if kind not in described:
        return f"{status} comes as {kind}, described are {sorted(described)}"
    if not kind.endswith("json"):
        return None
    checker = _validator(str(one), status, kind)
    wrong = [f"{error.json_path}: {error.message}" for error in checker.iter_errors(answer.json())]
    return "; ".join(wrong)[:400] or None


@cache
def _validator(name: str, status: int, kind: str) -> Any:
    (one,) = (one for one in operations() if str(one) == name)
    schema = one.said["responses"][str(status)]["content"][kind].get("schema", {})
    return jsonschema.Draft202012Validator(
        {**schema, "components": document()["components"]},
        format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER,
    )
