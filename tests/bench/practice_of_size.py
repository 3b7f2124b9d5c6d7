"""A practice with so many clients: that many streams in the log, and in the read tables their
rows, copied in bulk. One client has a record of their own, whom readings and history are asked of.

A chain grows by places: a thousand clients, and four practitioners, for each facility.
"""

from __future__ import annotations

from typing import Any
from uuid import UUID

from billing.authorizations.models import Authorization, Visit
from clients.identity.models import Client, ClientFacility
from practice.accesslog.models import AccessEntry
from sessions.calendar.models import Session
from sessions.measurements.models import Reading
from sessions.stretches.models import Recheck
from tests.bench.at_noon import asked, finish, practice_at_noon, today, visited
from tests.bench.bars_http import lengthen
from tests.bench.filling import fill
from tests.bench.statements import asking, listening
from tests.builders import Api, Built, ok
from tests.growth.rows import copy
from tests.sessions.stretches.stories import discharged

CLIENTS_OF_A_PLACE, CLIENTS_OF_A_PRACTITIONER = 1_000, 250


def build(*, clients: int, events: int) -> dict[str, Any]:
    """The practice; the tokens, the lists that are asked for, the statements of each."""
    built = practice_at_noon()
    client_id, authorization_id = _furnish(built, events)
    fill(clients, events)
    _grow(clients)
    tokens = finish(built)
    lists = _lists(built, client_id, authorization_id)
    statements = {name: _statements(tokens, one) for name, one in lists.items()}
    return {"tokens": tokens, "asked": lists, "statements": statements}


def _furnish(built: Built, events: int) -> tuple[UUID, str]:
    """One client with one of everything that lists show, in a record of that length."""
    client_id, authorization_id = visited(built)
    discharged(built, client_id)
    lengthen(built, client_id, events)
    return client_id, authorization_id


def _grow(clients: int) -> None:
    """As many rows as so many clients make in some years."""
    places = max(1, clients // CLIENTS_OF_A_PLACE)
    dealt = {
        "client_id": clients,
        "facility_id": places,
        "practitioner_id": max(1, clients // CLIENTS_OF_A_PRACTITIONER),
        "staff_id": max(2, clients // CLIENTS_OF_A_PRACTITIONER),
        "rater_id": max(1, clients // CLIENTS_OF_A_PRACTITIONER),
        "session_id": 10 * clients,
        "prescription_id": 3 * clients,
        "authorization_id": clients,
    }
    own_id = "md5('client_id' || n)::uuid"
    named = dict.fromkeys(("by_family", "by_given"), "md5(n::text)")
    numbered = {"id": "md5('authorization_id' || n)::uuid", "number": "'PA-' || n"}
    calls = {"status": _earlier("planned", "on_call_list", -3)}
    copy(Client, clients, dealt, {"id": own_id, "client_id": own_id} | named)
    copy(ClientFacility, clients, dealt, {"client_id": own_id})
    copy(Authorization, clients, dealt, numbered)
    copy(Session, 10 * clients, dealt, {"status": _earlier("booked", "completed", 0)})
    copy(Visit, 5 * clients, dealt, {})
    copy(Recheck, 3 * clients, dealt, calls)
    copy(Reading, 10 * clients, dealt, {})
    copy(AccessEntry, 10 * clients, dealt, {})


def _earlier(later: str, before: str, day: int) -> str:
    return f"CASE WHEN day > {day} THEN '{later}' ELSE '{before}' END"


def _lists(built: Built, client_id: UUID, authorization_id: str) -> dict[str, Any]:
    """What the four ask for, as requests."""
    desk, hands, billing = "front_desk", "practitioner", "billing"
    day = f"from={today(built)}&to={today(built)}"
    week = f"from={today(built)}&to={today(built, 6)}"
    here = f"facility_id={built.east.pk}"
    client = f"clients/{client_id}"
    return {
        "clients by name": asked("GET", "clients", desk),
        "search of a name": asked("POST", "clients/search", desk, {"name": "abc"}),
        "sessions of a day, a place": asked("GET", f"sessions?{day}&{here}", desk),
        "sessions of a week, one's own": asked("GET", f"sessions?{week}", hands),
        "call list": asked("GET", f"rechecks?status=on_call_list&{here}", desk),
        "re-checks that are open": asked("GET", "rechecks?open=true", hands),
        "visits of an authorization": asked(
            "GET", f"authorizations/{authorization_id}/visits", billing
        ),
        "a client's readings": asked("GET", f"{client}/range-of-motion", hands),
        "a client's history": asked("GET", f"{client}/history", hands),
    }


def _statements(tokens: dict[str, str], one: dict[str, Any]) -> int:
    """How many statements the request sends once the process has been asked before."""
    api = Api(tokens[one["role"]].removeprefix("Bearer "))
    for _ in range(2):
        with listening() as heard:
            ok(api.send(one["method"], one["path"].removeprefix("/api/v1/"), one["body"]))
    return asking(heard)
