"""A practice with something of everything in it, so that made-up requests meet real rows."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse

from practice.core.terms import Role
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.facilities import FacilityRule
from practice.people_and_places.models.practitioners import Competence, Licence, Supervision
from practice.policy.models import PracticeSetting
from sessions.calendar.models import Session
from sessions.catalogue.models import Stretch
from sessions.measurements.models import Goal, Reading
from sessions.stretches.models import Prescription
from tests.billing.practice_rows import payer
from tests.builders import Built, account, build_practice
from tests.sessions.booking.http import WELL, book, key, local
from tests.sessions.people import open_client

READING: dict[str, Any] = {
    "movement": "shoulder_abduction",
    "side": "left",
    "motion": "active",
    "position": "sitting",
    "instrument": "goniometer",
}


class Furnished(Built):
    """The practice of the builders and what was added: ids by the name they are asked under."""

    known: dict[str, list[str]]


def furnished() -> Furnished:
    """Two clients, past and future sessions, readings, a goal, a stretch, an authorization."""
    base = build_practice()
    built = Furnished(**vars(base))
    clients = [open_client(built), open_client(built)]
    room = str(built.rooms["East 1"].pk)
    for number, client_id in enumerate(clients):
        book(
            built,
            client_id,
            local(-2, 9 + number),
            attendance="attended",
            answers=WELL,
            room_id=room,
        )
        book(built, client_id, local(3, 9 + number), room_id=room)
    lakeshore = payer()
    paula, desk = built.api(Role.PRACTITIONER), built.api(Role.FRONT_DESK)
    for client in map(str, clients):
        for degrees in (110, 150, 155):
            made(paula.post(f"clients/{client}/range-of-motion", READING | {"degrees": degrees}))
        made(desk.post(f"clients/{client}/authorizations", authorization(lakeshore.pk)))
    account("spare", Role.FRONT_DESK, built.east)
    built.known = known_ids(built, clients, lakeshore)
    return built


def authorization(payer_id: Any, **changes: Any) -> dict[str, Any]:
    """An authorization of ten visits and twenty units that runs now."""
    return {
        "payer_id": str(payer_id),
        "number": key()[:12],
        "member_id": "LHP-99812",
        "starts_on": local(-60)[:10],
        "ends_on": local(60)[:10],
        "visits": 10,
        "units": 20,
        **changes,
    }


def made(answer: HttpResponse) -> dict[str, Any]:
    """The JSON of an answer that must be 201."""
    assert answer.status_code == 201, (answer.status_code, answer.content[:500])
    found: dict[str, Any] = answer.json()  # type: ignore[attr-defined]  # the test client's own
    return found


def known_ids(built: Built, clients: list[Any], lakeshore: Any) -> dict[str, list[str]]:
    """What exists, by the names of parameters and fields."""
    rows: dict[str, Any] = {
        "session_id": Session,
        "reading_id": Reading,
        "goal_id": Goal,
        "stretch_id": Prescription,
        "prescription_id": Prescription,
        "setting_id": PracticeSetting,
        "limit_id": JurisdictionLimit,
        "licence_id": Licence,
        "competence_id": Competence,
        "supervision_id": Supervision,
        "rule_id": FacilityRule,
    }
    found = {name: [str(one) for one in pks(model)] for name, model in rows.items()}
    people = [str(one.pk) for one in built.practitioners.values()]
    return found | {
        "client_id": [str(one) for one in clients],
        "payer_id": [str(lakeshore.pk)],
        "facility_id": [str(built.east.pk), str(built.west.pk)],
        "room_id": [str(one.pk) for one in built.rooms.values()],
        "practitioner_id": people,
        "rater_id": people,
        "code": list(Stretch.objects.values_list("code", flat=True)),
    }


def pks(model: Any) -> Any:
    """Some primary keys of a table."""
    return model.objects.order_by("pk").values_list("pk", flat=True)[:5]
