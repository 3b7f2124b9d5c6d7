"""Sets the demo practice up through the API, as its owner would."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from practice.demo import people
from practice.demo.callers import DemoResponse, DemoUser, InProcessCaller, sign_in_demo_user


class SetUpFailed(Exception):
    """A request that must succeed while the demo is made did not."""


def require_success(answer: DemoResponse, *statuses: int) -> DemoResponse:
    """The answer, if its status is one of those that will do (default: any 2xx)."""
    good = answer.status in statuses if statuses else 200 <= answer.status < 300
    if not good:
        raise SetUpFailed(f"{answer.asked}: {answer.status} {answer.body}")
    return answer


def set_up(inside: InProcessCaller, today: date) -> dict[str, str]:
    """Facilities, rooms, law, practitioners and staff. Returns ids by short name."""
    owner = sign_in_demo_user(inside, "owner", "owner", people.PASSWORD)
    began = today - timedelta(days=365)
    ids: dict[str, str] = {}
    for name, facility in people.FACILITIES.items():
        ids[name] = _facility(owner, facility)
    for place, room in people.ROOMS:
        body = {"facility_id": ids[place], "name": room, "is_private": True}
        ids[room] = require_success(owner.send("POST", "/rooms", body))["id"]
    for name, practitioner in people.PRACTITIONERS.items():
        ids[name + "'s work"] = _practitioner(owner, practitioner, ids, began)
    ids["payer"] = _payer(owner)
    for username, full_name, role, places, practitioner_name in people.STAFF:
        ids[username] = _account(owner, username, full_name, role, places, practitioner_name, ids)
    return ids


def _payer(owner: DemoUser) -> str:
    for code, description in people.SERVICE_CODES:
        body = {"code": code, "description": description, "timed": True}
        require_success(owner.send("POST", "/service-codes", body))
    return str(require_success(owner.send("POST", "/payers", people.PAYER))["id"])


def _facility(owner: DemoUser, facility: dict[str, Any]) -> str:
    hours = [{"weekday": day, "opens": "07:00", "closes": "19:00"} for day in people.WEEKDAYS]
    answer = require_success(
        owner.send("POST", "/facilities", {**facility, "opening_hours": hours})
    )
    require_success(owner.send("POST", f"/facilities/{answer['id']}/starter-limits"))
    return str(answer["id"])


def _practitioner(owner: DemoUser, one: dict[str, Any], ids: dict[str, str], began: date) -> str:
    works = one["works"]
    of_others = ("works", "techniques", "signed_off_by")
    body = {key: value for key, value in one.items() if key not in of_others}
    body["facilities"] = [ids[place] for place in works]
    body["working_hours"] = [
        {"facility_id": ids[place], "weekday": day, "starts": starts, "ends": ends}
        for place, (starts, ends, days) in works.items()
        for day in days
    ]
    made_id = str(require_success(owner.send("POST", "/practitioners", body))["id"])
    if one["credential"] != "personal_trainer":
        _licences(owner, made_id, one, works, began)
    for technique in one["techniques"]:
        sign_off = {
            "technique": technique,
            "signed_off_by": one["signed_off_by"],
            "signed_off_on": began.isoformat(),
            "practised_on_colleagues": True,
        }
        require_success(owner.send("POST", f"/practitioners/{made_id}/competences", sign_off))
    return made_id


def _licences(
    owner: DemoUser, practitioner: str, one: dict[str, Any], places: Iterable[str], began: date
) -> None:
    for place in places:
        jurisdiction = people.FACILITIES[place]["jurisdiction"]
        licence = {
            "jurisdiction": jurisdiction,
            "credential": one["credential"],
            "number": f"{jurisdiction}-{one['name'][:3].upper()}-{len(one['name']):04d}",
            "valid_from": began.isoformat(),
            "expires_on": (began + timedelta(days=900)).isoformat(),
        }
        require_success(owner.send("POST", f"/practitioners/{practitioner}/licences", licence))


def _account(
    owner: DemoUser,
    username: str,
    name: str,
    role: str,
    places: tuple[str, ...],
    practitioner: str | None,
    ids: dict[str, str],
) -> str:
    body: dict[str, Any] = {
        "username": username,
        "name": name,
        "role": role,
        "password": people.PASSWORD,
        "facilities": [ids[place] for place in places],
    }
    if practitioner is not None:
        body["practitioner_id"] = ids[practitioner + "'s work"]
    return str(require_success(owner.send("POST", "/staff", body))["id"])
