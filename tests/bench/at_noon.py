"""A practice that is open all day, in a zone where it is noon: the benchmark runs at any hour."""

from __future__ import annotations

from datetime import time, timedelta
from typing import Any
from uuid import UUID

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.people_and_places.models.facilities import Facility, OpeningHours
from practice.people_and_places.models.practitioners import Practitioner, WorkingHours
from practice.people_and_places.models.staff import Staff
from tests.billing.practice_rows import payer
from tests.builders import (
    Built,
    account,
    build_practice,
    ok,
    practitioner,
    seal_practice,
    token_for,
)
from tests.harness.furnishing import authorization
from tests.sessions.booking import http
from tests.sessions.booking.http import book
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import open_client, zone_at_noon


def practice_at_noon() -> Built:
    """The practice of the builders, its facility in the east always open and staffed."""
    built = build_practice()
    built.east.zone = zone_at_noon()
    Facility.objects.filter(pk=built.east.pk).update(zone=built.east.zone)
    OpeningHours.objects.update(opens=time(0), closes=time(23, 59))
    always()
    return built


def always() -> None:
    """Everyone who is there now works all day, every day."""
    WorkingHours.objects.update(starts=time(0), ends=time(23, 59))


def further_practitioner(built: Built, number: int) -> tuple[Practitioner, Staff]:
    """One more physical therapist in the east, with an account."""
    row = practitioner(f"{number:03} therapist", Credential.PHYSICAL_THERAPIST, built.east)
    staff = account(f"therapist-{number}", Role.PRACTITIONER, built.east, of=row)
    return row, staff


def finish(built: Built) -> dict[str, str]:
    """Seal what the builders wrote plainly; a bearer token of each role."""
    seal_practice()
    return {role.value: f"Bearer {token_for(staff)}" for role, staff in built.staff.items()}


def local(built: Built, days: int, hour: int) -> str:
    """An hour on the facility's clock, some days from today."""
    return http.local(days, hour, zone=built.east.zone)


def today(built: Built, days: int = 0) -> str:
    """The facility's day, or one some days from it."""
    return local(built, days, 12)[:10]


def hours_ahead(hours: int) -> str:
    """An instant, the next whole hour and so many hours more."""
    whole = clock.now().replace(minute=0, second=0, microsecond=0)
    return (whole + timedelta(hours=hours + 1)).isoformat()


def visited(built: Built) -> tuple[UUID, str]:
    """A client with an authorization and a visit of yesterday that it covers; both ids."""
    client_id = open_client(built)
    sent = authorization(payer().pk)
    made = ok(built.api(Role.FRONT_DESK).post(f"clients/{client_id}/authorizations", sent), 201)
    when = local(built, -1, 10)
    session = book(built, client_id, when, attendance="attended", answers=http.WELL)
    note = Device(built, session["id"])
    note.save(**whole_note())
    ok(note.sign(), 201)
    return client_id, made["id"]


def asked(method: str, path: str, role: str, body: Any = None) -> dict[str, Any]:
    """A request as bars send it: the role's token is added there."""
    return {"method": method, "path": f"/api/v1/{path}", "role": role, "body": body}
