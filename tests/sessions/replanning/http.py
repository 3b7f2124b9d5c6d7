"""Requests of the tests of planning narrowed sessions anew."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from practice.core.terms import Credential, Role
from practice.jobs.services import run_due_jobs
from practice.people_and_places.models.practitioners import Licence
from sessions.calendar.models import Session
from tests.builders import Built, ok


def replan(built: Built, role: Role = Role.FRONT_DESK, /, **sent: Any) -> dict[str, Any]:
    """The desk plans anew; the reason is said."""
    body = {"reason": "It was put right.", **sent}
    found: dict[str, Any] = ok(built.api(role).post("session-replans", body))
    return found


def row(session: Any) -> Session:
    return Session.objects.get(pk=session["id"])


def calls(built: Built, client: UUID) -> list[str]:
    shown = ok(built.api(Role.FRONT_DESK).get("call-list", {"client_id": str(client)}))
    return [one["text"] for one in shown["results"] if one["reason"] == "session_narrowed"]


def licence(built: Built, **values: Any) -> None:
    """The owner changes the licence of the physical therapist in the east; due work is done."""
    person = built.practitioners[Credential.PHYSICAL_THERAPIST]
    held = Licence.objects.get(practitioner=person, jurisdiction=built.east.jurisdiction)
    ok(built.api(Role.OWNER).change(f"practitioners/{person.pk}/licences/{held.pk}", values))
    run_due_jobs()


def paula(built: Built) -> str:
    return str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk)


def by_id(shown: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {one["session_id"]: one for one in shown["sessions"]}
