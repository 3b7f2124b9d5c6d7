"""Requests of the tests of series: on a Monday noon in the east, from the Tuesday a week later."""

from __future__ import annotations

from functools import cache
from typing import Any
from uuid import UUID

from practice.clock import clock
from practice.core.terms import Credential, Role
from tests.builders import Built, at, build_practice, ok
from tests.sessions.booking.http import key

NOW = at("2026-03-09T12:00:00-04:00")
RULE = "FREQ=WEEKLY;BYDAY=TU,TH;COUNT=4"
DAYS = ["2026-03-17", "2026-03-19", "2026-03-24", "2026-03-26"]


def held_practice() -> Built:
    """A practice under a held clock: one token for each of the staff at any moment."""
    built = build_practice()
    sign_in, signed_in = built.api, cache(lambda role, _now: sign_in(role))
    built.api = lambda role: signed_in(role, clock.now())  # type: ignore[method-assign]
    return built


def start(day: str, clock: str = "09:30") -> str:
    return f"{day}T{clock}:00-04:00"


def series_body(built: Built, client: UUID, **changes: Any) -> dict[str, Any]:
    body: dict[str, Any] = {
        "client_id": str(client),
        "practitioner_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.east.pk),
        "starts_at": {"local": "2026-03-17T09:30"},
        "minutes": 60,
        "recurrence": RULE,
        **changes,
    }
    return {name: value for name, value in body.items() if value is not None}


def book_series(built: Built, client: UUID, **changes: Any) -> dict[str, Any]:
    sent = series_body(built, client, **changes)
    booked: dict[str, Any] = ok(send(built, "session-series", sent), 201)
    return booked


def send(built: Built, path: str, body: dict[str, Any], role: Role = Role.FRONT_DESK) -> Any:
    return built.api(role).post(path, body, key=key())


def move(built: Built, series: str, **body: Any) -> Any:
    sent = {"from_day": DAYS[0], "reason": "Asked on the phone.", **body}
    return send(built, f"session-series/{series}/move", sent)


def cancel(built: Built, series: str, **body: Any) -> Any:
    sent = {"from_day": DAYS[0], "by": "client", "reason": "Goes on at home.", **body}
    return send(built, f"session-series/{series}/cancellation", sent)


def series(built: Built, series_id: str, role: Role = Role.FRONT_DESK) -> dict[str, Any]:
    shown: dict[str, Any] = ok(built.api(role).get(f"session-series/{series_id}"))
    return shown


def starts(answer: dict[str, Any], result: str) -> list[str]:
    found = answer["occurrences"]
    return [one["starts_at"] for one in found if one["result"] == result]


def session_of(answer: dict[str, Any], place: int) -> str:
    return str(answer["occurrences"][place]["session"]["id"])
