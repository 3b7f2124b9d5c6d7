"""A day of work: for each round so many clients who will arrive and so many whose notes are to be
written, and what the four send then."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.terms import Role
from practice.jobs.services import run_due_jobs
from tests.bench.at_noon import (
    asked,
    finish,
    further_practitioner,
    hours_ahead,
    local,
    practice_at_noon,
    today,
)
from tests.billing.practice_rows import payer
from tests.builders import Built, ok, token_for
from tests.harness.furnishing import READING, authorization
from tests.sessions.booking.http import WELL, book
from tests.sessions.notes.http import whole_note
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import discharged

HANDS, DESK = Role.PRACTITIONER.value, Role.FRONT_DESK.value
HOURS = 10
"""Of arrivals that one practitioner takes: they are recorded within half a day."""
PAST_HOURS = 16
"""Of sessions on a day that is past. Consents are a month old, so that is enough for 480."""

CALLED = 20
"""Clients on the call list: one page."""


def build(*, each: int, rounds: int) -> dict[str, Any]:
    """Tokens, and by name the requests of each round in order."""
    built = practice_at_noon()
    lakeshore = payer().pk
    clients = [open_client(built) for _ in range(each)]
    for client_id in clients[:CALLED]:
        discharged(built, client_id)
    run_due_jobs()  # Puts their re-checks on the call list.
    for client_id in clients:
        sent = authorization(lakeshore)
        ok(built.api(Role.FRONT_DESK).post(f"clients/{client_id}/authorizations", sent), 201)
    total = each * rounds
    tokens, arriving = _arriving(built, clients, total)
    written = [_past(built, clients[number % each], number) for number in range(total)]
    requests = _of_clients(built, clients) | _of_sessions(arriving, written)
    return {"tokens": finish(built) | tokens, "requests": requests}


def _arriving(
    built: Built, clients: list[UUID], total: int
) -> tuple[dict[str, str], list[tuple[str, str]]]:
    """Sessions of the next hours with as many practitioners as it takes: id, whose token."""
    tokens: dict[str, str] = {}
    sessions: list[tuple[str, str]] = []
    for number in range(-(-total // HOURS)):
        row, staff = further_practitioner(built, number)
        tokens[staff.username] = f"Bearer {token_for(staff)}"
        for hour in range(HOURS):
            if len(sessions) == total:
                break
            client_id = clients[len(sessions) % len(clients)]
            if len(sessions) >= len(clients):
                client_id = open_client(built)
            made = book(built, client_id, hours_ahead(hour), practitioner_id=str(row.pk))
            sessions.append((made["id"], staff.username))
    return tokens, sessions


def _past(built: Built, client_id: UUID, number: int) -> str:
    """A session of the days before, attended, without a note."""
    when = local(built, -1 - number // PAST_HOURS, 4 + number % PAST_HOURS)
    return str(book(built, client_id, when, attendance="attended", answers=WELL)["id"])


def _of_clients(built: Built, clients: list[UUID]) -> dict[str, list[Any]]:
    """Reads that come again and again, and a reading."""
    here = f"facility_id={built.east.pk}"
    day = f"from={today(built)}&to={today(built)}"
    week = f"from={today(built, 1)}&to={today(built, 7)}"
    minutes = f"minutes=60&{here}&{week}"
    return {
        "sessions of a day": [asked("GET", f"sessions?{day}&{here}", DESK)],
        "client search": [asked("POST", "clients/search", DESK, {"name": "Marsh"})],
        "open times": [
            asked("GET", f"open-times?client_id={one}&{minutes}", DESK) for one in clients
        ],
        "call list": [asked("GET", f"rechecks?status=on_call_list&{here}", DESK)],
        "history": [asked("GET", f"clients/{one}/history", HANDS) for one in clients],
        "readings": [asked("GET", f"clients/{one}/range-of-motion", HANDS) for one in clients],
        "a reading": [
            asked("POST", f"clients/{one}/range-of-motion", HANDS, READING | {"degrees": 120})
            for one in clients
        ],
    }


def _of_sessions(arriving: list[tuple[str, str]], written: list[str]) -> dict[str, list[Any]]:
    """What is done once with each session, in the order in which it is done."""
    note = {"device": "tablet", "sequence": 1, **whole_note()}
    return {
        "plan": [asked("GET", f"sessions/{one}/plan", who) for one, who in arriving],
        "arrival": [asked("POST", f"sessions/{one}/arrival", DESK, WELL) for one, _ in arriving],
        "opening": [asked("POST", f"sessions/{one}/opening", who, {}) for one, who in arriving],
        "save": [asked("PATCH", f"sessions/{one}/note", HANDS, note) for one in written],
        "signature": [
            asked("POST", f"sessions/{one}/note/signature", HANDS, {}) for one in written
        ],
    }
