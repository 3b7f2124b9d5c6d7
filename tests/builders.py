"""Builders of a practice to test against: two facilities, four credentials, four roles.

``build_practice()`` writes plain rows; ``Api`` talks to the program as one of its staff.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cache
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.core.signals import setting_changed
from django.dispatch import receiver
from rest_framework.test import APIClient, ForceAuthClientHandler

from practice.clock import clock
from practice.core.decisions import Actor
from practice.core.terms import Activity, Allowance, Credential, Role, Technique
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.facilities import Facility, OpeningHours, Room
from practice.people_and_places.models.practitioners import (
    Competence,
    Licence,
    Practitioner,
    WorkingHours,
)
from practice.people_and_places.models.staff import AccessToken, Staff
from practice.people_and_places.token_seals import seal_token
from practice.policy.row_seals import seal_rows, sealed_tables

EAST, WEST = ("US-PA", "America/New_York"), ("US-CA", "America/Los_Angeles")
PASSWORD = "a long sentence for tests"
READ_BY_MIDDLEWARE = ("MIDDLEWARE", "DEBUG", "STATIC_URL", "STATIC_ROOT")
"""Settings of which the middleware is set up."""
WEEK = range(1, 8)


@dataclass
class Built:
    """What was built, by the words one asks for it."""

    east: Facility
    west: Facility
    rooms: dict[str, Room] = field(default_factory=dict)
    practitioners: dict[Credential, Practitioner] = field(default_factory=dict)
    staff: dict[Role, Staff] = field(default_factory=dict)

    def actor(self, role: Role) -> Actor:
        """The actor that stands for one of the staff."""
        staff = self.staff[role]
        return Actor(id=staff.pk, role=role, practitioner_id=staff.practitioner_id)

    def api(self, role: Role) -> Api:
        """A client that is signed in as one of the staff."""
        return Api(token_for(self.staff[role]))


def facility(name: str, where: tuple[str, str]) -> Facility:
    """A facility that is open every day from 07:00 to 20:00."""
    row = Facility.objects.create(name=name, jurisdiction=where[0], zone=where[1])
    OpeningHours.objects.bulk_create(
        OpeningHours(facility=row, weekday=day, opens=time(7), closes=time(20)) for day in WEEK
    )
    return row


def practitioner(
    name: str, credential: Credential, *facilities: Facility, gender: str = "woman"
) -> Practitioner:
    """A practitioner with licences, all techniques signed off, hours at the first facility."""
    row = Practitioner.objects.create(name=name, credential=credential, gender=gender)
    row.facilities.add(*facilities)
    WorkingHours.objects.bulk_create(
        WorkingHours(
            practitioner=row, facility=facilities[0], weekday=day, starts=time(8), ends=time(18)
        )
        for day in WEEK
    )
    if credential is not Credential.PERSONAL_TRAINER:
        Licence.objects.bulk_create(
            Licence(
                practitioner=row,
                jurisdiction=place.jurisdiction,
                credential=credential,
                number=f"{name[:3]}-{place.jurisdiction}",
                valid_from=date(2020, 1, 1),
                expires_on=date(2035, 12, 31),
            )
            for place in facilities
        )
    Competence.objects.bulk_create(
        Competence(
            practitioner=row,
            technique=technique,
            signed_off_by="Head therapist",
            signed_off_on=date(2024, 1, 15),
            practised_on_colleagues=True,
        )
        for technique in Technique
    )
    return row


def law(
    jurisdiction: str, credential: Credential, allowance: Allowance, **more: Any
) -> JurisdictionLimit:
    """A row of made-up law on assisted stretching, in effect since 2020; it is not saved yet."""
    return JurisdictionLimit(
        jurisdiction=jurisdiction,
        credential=credential,
        activity=more.pop("activity", Activity.ASSISTED_STRETCHING),
        allowance=allowance,
        effective_from=date(2020, 1, 1),
        source="made up for tests",
        verified_on=date(2026, 1, 1),
        **more,
    )


def limit(jurisdiction: str, credential: Credential, allowance: Allowance, **more: Any) -> None:
    """The same, on record."""
    law(jurisdiction, credential, allowance, **more).save(force_insert=True)


def account(
    username: str, role: Role, *facilities: Facility, of: Practitioner | None = None
) -> Staff:
    """A staff account with the password of the tests."""
    row = Staff.objects.create_user(
        username, PASSWORD, name=username.title(), role=role, practitioner=of
    )
    row.facilities.add(*facilities)
    return row


def token_for(staff: Staff, *, expired: bool = False, revoked: bool = False) -> str:
    """A bearer token of an account, live unless asked otherwise."""
    now = clock.now()
    token = f"{staff.username}-{expired}-{revoked}-{now.isoformat()}"
    row = AccessToken(
        digest=sha256(token.encode()).hexdigest(),
        staff=staff,
        created_at=now - timedelta(hours=2),
        expires_at=now + timedelta(hours=-1 if expired else 10),
        revoked_at=now if revoked else None,
    )
    seal_token(row).save(force_insert=True)
    return token


def seal_practice() -> None:
    """Seal every practice row, as the program does when it writes one."""
    for model in sealed_tables():
        seal_rows(model._default_manager.all())


def by_hand(credential: Credential) -> Allowance:
    """Whether the made-up law lets a credential stretch by hand."""
    trainer = credential is Credential.PERSONAL_TRAINER
    return Allowance.NOT_ALLOWED if trainer else Allowance.ALLOWED


def build_practice() -> Built:
    """Two facilities in two jurisdictions; the trainer in the west may not stretch by hand.

    Desk, owner and the physical therapist belong to the east; billing sees all.
    """
    built = Built(facility("East", EAST), facility("West", WEST))
    rooms = (
        Room(facility=place, name=f"{place.name} {number}")
        for place in (built.east, built.west)
        for number in (1, 2)
    )
    built.rooms = {one.name: one for one in Room.objects.bulk_create(rooms)}
    people = {
        Credential.PHYSICAL_THERAPIST: ("Paula", (built.east, built.west)),
        Credential.OCCUPATIONAL_THERAPIST: ("Olga", (built.east,)),
        Credential.MASSAGE_THERAPIST: ("Marco", (built.east, built.west)),
        Credential.PERSONAL_TRAINER: ("Tessa", (built.west,)),
    }
    for credential, (name, places) in people.items():
        gender = "man" if name == "Marco" else "woman"
        built.practitioners[credential] = practitioner(name, credential, *places, gender=gender)
    JurisdictionLimit.objects.bulk_create(
        law(place.jurisdiction, credential, by_hand(credential))
        for credential in people
        for place in (built.east, built.west)
    )
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    built.staff = {
        Role.OWNER: account("owner", Role.OWNER),
        Role.FRONT_DESK: account("desk", Role.FRONT_DESK, built.east),
        Role.PRACTITIONER: account("paula", Role.PRACTITIONER, built.east, of=paula),
        Role.BILLING: account("billing", Role.BILLING),
    }
    return built


@cache
def handler() -> ForceAuthClientHandler:
    """The program as every client calls it: its middleware is set up once."""
    return ForceAuthClientHandler(enforce_csrf_checks=False)


@receiver(setting_changed)
def _set_up_anew(*, setting: str, **_: Any) -> None:
    if setting in READ_BY_MIDDLEWARE:
        handler.cache_clear()


class Api:
    """Requests with a bearer token; ``key`` is an Idempotency-Key, ``match`` a version."""

    def __init__(self, token: str | None = None) -> None:
        self.client = APIClient(raise_request_exception=True)
        self.client.handler = handler()
        if token is not None:
            self.client.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")

    def send(
        self,
        method: str,
        path: str,
        data: Any = None,
        *,
        key: str | None = None,
        match: int | None = None,
        **headers: str,
    ) -> Any:
        """One request below /api/v1/; the body is sent as JSON."""
        if key is not None:
            headers["HTTP_IDEMPOTENCY_KEY"] = key
        if match is not None:
            headers["HTTP_IF_MATCH"] = f'"{match}"'
        full = path if path.startswith("/") else f"/api/v1/{path}"
        ask = getattr(self.client, method.lower())
        if method.upper() in ("GET", "HEAD"):
            return ask(full, data, **headers)
        return ask(full, {} if data is None else data, format="json", **headers)

    def get(self, path: str, query: Any = None, **more: Any) -> Any:
        """GET with a query string."""
        return self.send("GET", path, query, **more)

    def post(self, path: str, data: Any = None, **more: Any) -> Any:
        """POST."""
        return self.send("POST", path, data, **more)

    def patch(self, path: str, data: Any = None, **more: Any) -> Any:
        """PATCH."""
        return self.send("PATCH", path, data, **more)

    def change(self, path: str, data: Any, **more: Any) -> Any:
        """PATCH upon the version that stands now."""
        tag = self.get(path).headers.get("ETag", '"1"')
        return self.send("PATCH", path, data, HTTP_IF_MATCH=tag, **more)

    def put(self, path: str, data: Any = None, **more: Any) -> Any:
        """PUT."""
        return self.send("PUT", path, data, **more)

    def delete(self, path: str, **more: Any) -> Any:
        """DELETE."""
        return self.send("DELETE", path, **more)


def ok(response: Any, status: int = 200) -> Any:
    """The JSON of an answer that must have this status."""
    assert response.status_code == status, (response.status_code, response.content[:2000])
    return response.json() if response.content else None


def version_of(response: Any) -> int:
    """The version in front of the entity tag of an answer."""
    return int(response["ETag"].strip('"').partition("-")[0])


def refused(response: Any, status: int, code: str) -> dict[str, Any]:
    """The problem document of an answer that must be refused like this."""
    assert response.status_code == status, (response.status_code, response.content[:2000])
    assert response["Content-Type"] == "application/problem+json"
    problem: dict[str, Any] = response.json()
    assert problem["code"] == code, problem
    assert problem["status"] == status
    return problem


def at(text: str) -> datetime:
    """An instant from ISO text with offset."""
    found = datetime.fromisoformat(text)
    assert found.tzinfo is not None, text
    return found


NOBODY_KNOWS = UUID("00000000-0000-4000-8000-000000000404")
