"""Local times are read on the clock of the place where the work was done."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.policy.models import PRACTICE_ID, Practice
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import STRETCH, reading

FAR = "Pacific/Honolulu"


@pytest.fixture(autouse=True)
def practice_far_away(built: Built) -> None:
    Practice.objects.filter(pk=PRACTICE_ID).update(zone=FAR)


def typed(zone: str) -> tuple[dict[str, str], datetime]:
    """Noon three days ago as it is typed, and the instant it is in a zone."""
    day = clock.now().astimezone(ZoneInfo(zone)).date() - timedelta(days=3)
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo(zone))
    return {"local": noon.replace(tzinfo=None).isoformat(timespec="minutes")}, noon


SENT: list[tuple[str, dict[str, Any], str]] = [
    ("range-of-motion", reading(150), "taken_at"),
    ("posture", {"finding": "rounded_shoulders", "severity": "mild"}, "observed_at"),
    ("goals", {"movement": "shoulder_abduction", "side": "right"}, "set_at"),
    ("stretches", {"stretch": STRETCH, "side": "right"}, "prescribed_at"),
]


def moment(shown: dict[str, Any], name: str) -> datetime:
    return datetime.fromisoformat(shown.get("reading", shown)[name])


@pytest.mark.parametrize(("path", "sent", "name"), SENT)
def test_it_is_the_clients_facility_not_the_practice(
    built: Built, path: str, sent: dict[str, Any], name: str
) -> None:
    client_id, (at, noon) = open_client(built), typed(built.east.zone)
    api = built.api(Role.PRACTITIONER)
    made = ok(api.post(f"clients/{client_id}/{path}", {**sent, "occurred_at": at}), 201)
    assert moment(made, name) == noon


def test_it_is_the_first_facility_that_the_caller_sees(built: Built) -> None:
    client_id = open_client(built, built.west, built.east)
    built.practitioners[Credential.PHYSICAL_THERAPIST].facilities.remove(built.west)
    at, noon = typed(built.east.zone)
    sent = {**reading(150), "occurred_at": at}
    made = ok(built.api(Role.PRACTITIONER).post(f"clients/{client_id}/range-of-motion", sent), 201)
    assert moment(made, "taken_at") == noon


def test_it_is_the_sessions_facility_where_one_is_named(built: Built) -> None:
    client_id = open_client(built, built.east, built.west)
    start = local(3, zone=built.west.zone)
    owner = built.api(Role.OWNER)
    session = at_west(built, client_id, start)
    at, noon = typed(built.west.zone)
    paula = str(built.staff[Role.PRACTITIONER].practitioner_id)
    sent = {**reading(150), "occurred_at": at, "session_id": session["id"], "rater_id": paula}
    made = ok(owner.post(f"clients/{client_id}/range-of-motion", sent), 201)
    assert moment(made, "taken_at") == noon


def at_west(built: Built, client_id: UUID, start: str) -> dict[str, Any]:
    original = built.staff[Role.FRONT_DESK]
    original.facilities.add(built.west)
    return book(built, client_id, start, facility_id=str(built.west.pk))


def test_days_in_messages_are_the_facilitys(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    day = clock.now().astimezone(ZoneInfo(built.east.zone)).date() - timedelta(days=3)
    # Late in the evening in the east it is the next day already in UTC.
    evening = {"local": f"{day}T22:30"}
    sent = {"stretch": STRETCH, "side": "right", "occurred_at": evening}
    made = ok(api.post(f"clients/{client_id}/stretches", sent), 201)
    early = {"occurred_at": {"local": f"{day}T21:00"}}
    problem = refused(api.post(f"stretches/{made['id']}/start", early), 400, "invalid")
    assert f"on {day:%Y-%m-%d}" in problem["detail"]
    ok(api.post(f"stretches/{made['id']}/start", {"occurred_at": evening}))
    sent = {"occurred_at": {"local": f"{day}T21:00"}, "facility_id": str(built.east.pk)}
    problem = refused(api.post(f"stretches/{made['id']}/discharge", sent), 400, "invalid")
    assert f"started on {day:%Y-%m-%d}" in problem["detail"]
