"""Papers on the day sheet and on the call list: what is missing, and whom to call for it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built, at, build_practice, ok, token_for
from tests.sessions.booking.http import body, key
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
SURGEON = {"name": "Amara Whitfield", "role": "surgeon", "phone": "+14155550171"}
SIGNATURE = {"kind": "plan_signature", "asked_of": SURGEON, "needed_by": "2026-03-02"}


@pytest.fixture(autouse=True)
def _noon() -> Iterator[None]:
    with clock.at(at("2026-03-02T12:00:00-05:00")):
        yield


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def desk(built: Built) -> Api:
    return built.api(Role.FRONT_DESK)


def ask(desk: Api, client: UUID, **changes: Any) -> dict[str, Any]:
    sent = {**SIGNATURE, **changes}
    made: dict[str, Any] = ok(desk.post(f"clients/{client}/papers", sent), 201)
    return made


def missing(built: Built, day: str = "2026-03-04", when: str = "2026-03-02T12:30:00-05:00") -> Any:
    """What the sheet of a day names as missing of a paper, asked at a time."""
    with clock.at(at(when)):
        fresh = Api(token_for(built.staff[Role.FRONT_DESK]))
        asked = {"facility_id": str(built.east.pk), "day": day}
        shown = ok(fresh.get("day-sheet", asked))
        (line,) = shown["sessions"]
        return [code for code in line.get("missing", []) if code.startswith("pap")]


def test_a_paper_stands_on_the_sheet_until_its_order_is_filed(built: Built, desk: Api) -> None:
    client = open_client(built)
    sent = body(built, client, "2026-03-04T10:00:00-05:00")
    ok(desk.post("sessions", sent, key=key()), 201)
    assert missing(built) == []
    paper = ask(desk, client)
    assert missing(built, when="2026-03-02T12:31:00-05:00") == ["pap"]
    assert missing(built, when="2026-03-03T08:00:00-05:00") == ["pap-late"]
    ok(desk.post(f"clients/{client}/papers/{paper['id']}/answer", {"outcome": "given"}))
    assert missing(built, when="2026-03-02T12:33:00-05:00") == ["pap-file"]
    order = {
        "kind": "plan_signature",
        "prescriber": "physician",
        "prescriber_name": "Amara Whitfield",
        "given_on": "2026-03-01",
    }
    owner = built.api(Role.OWNER)
    (filed,) = ok(owner.post(f"clients/{client}/orders", order), 201)["results"]
    ok(desk.post(f"clients/{client}/papers/{paper['id']}/order", {"order_id": filed["id"]}))
    assert missing(built, when="2026-03-02T12:34:00-05:00") == []


def test_a_withdrawn_paper_is_not_missing(built: Built, desk: Api) -> None:
    client = open_client(built)
    sent = body(built, client, "2026-03-04T10:00:00-05:00")
    ok(desk.post("sessions", sent, key=key()), 201)
    gone = ask(desk, client)
    ok(desk.post(f"clients/{client}/papers/{gone['id']}/withdrawal", {"reason": "moved"}))
    assert missing(built) == []


def called(built: Built, when: str) -> list[tuple[str, str]]:
    with clock.at(at(when)):
        fresh = Api(token_for(built.staff[Role.FRONT_DESK]))
        found = ok(fresh.get("call-list"))["results"]
        return [(one["reason"], one["text"]) for one in found]


def test_an_overdue_paper_is_called_about_naming_whom(built: Built, desk: Api) -> None:
    ask(desk, open_client(built))
    assert called(built, "2026-03-02T23:59:00-05:00") == []
    text = (
        "A paper was needed by 2026-03-02 and is waited for: signed plan of care, of Amara"
        " Whitfield, phone +14155550171."
    )
    assert called(built, "2026-03-03T00:00:00-05:00") == [("paper_overdue", text)]


def test_a_paper_that_ends_soon_is_called_about(built: Built, desk: Api) -> None:
    ask(desk, open_client(built), needed_by="2026-06-01", expires_on="2026-04-02")
    assert called(built, "2026-03-02T23:59:00-05:00") == []
    text = (
        "A paper ends on 2026-04-02: signed plan of care, of Amara Whitfield, phone +14155550171."
    )
    assert called(built, "2026-03-03T00:00:00-05:00") == [("paper_expiring", text)]


def test_an_order_that_ends_soon_is_called_about_a_restriction_is_not(built: Built) -> None:
    client, owner = open_client(built), built.api(Role.OWNER)
    for kind in ("clearance", "restriction"):
        order = {
            "kind": kind,
            "prescriber": "surgeon",
            "prescriber_name": "Amara Whitfield",
            "given_on": "2026-02-01",
            "subjects": ["stretching"],
            "sites": [{"region": "arm", "side": "left"}],
            "expires_on": "2026-03-20",
        }
        ok(owner.post(f"clients/{client}/orders", order), 201)
    text = "An order ends on 2026-03-20: clearance, of Amara Whitfield."
    assert called(built, "2026-03-02T12:30:00-05:00") == [("order_expiring", text)]
