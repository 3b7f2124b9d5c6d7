"""Papers over HTTP: asked for, answered, shown by role, and what waits for them (ruling 20)."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db import connection
from django.test.utils import CaptureQueriesContext

from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built, ok, refused, token_for
from tests.sessions.booking.http import body, key, local
from tests.sessions.people import (
    consent,
    healed_mastectomy,
    open_client,
    registered,
    reviewed,
    tell,
)

SURGEON = {
    "name": "Amara Whitfield",
    "role": "surgeon",
    "phone": "(415) 555-0171",
    "fax": "+1 415 555 0172",
    "mail": "12 Lake Street, Erie PA",
}
CLEARANCE: dict[str, Any] = {
    "kind": "clearance",
    "asked_of": SURGEON,
    "asked_for": {
        "subjects": ["stretching"],
        "sites": [{"region": "shoulder", "side": "right"}],
        "techniques": ["passive"],
        "words": "the reconstructed side",
    },
    "needed_by": "2026-03-05",
}
REFERRAL = {"kind": "referral", "asked_of": {"name": "Otto Lang", "role": "physician"}}


def operated(built: Built) -> UUID:
    """A client whose operation closes assisted stretching without a surgeon's clearance."""
    client = registered(built)
    tell(built, client, consent(), reviewed(operations=(healed_mastectomy(20),)))
    return client


def book(api: Api, built: Built, client: UUID, starts_at: str) -> dict[str, Any]:
    """An hour with the physical therapist in the east."""
    made: dict[str, Any] = ok(api.post("sessions", body(built, client, starts_at), key=key()), 201)
    return made


def ask(api: Api, client: UUID | str, body: dict[str, Any] = CLEARANCE) -> dict[str, Any]:
    made: dict[str, Any] = ok(api.post(f"clients/{client}/papers", body), 201)
    return made


def test_whom_it_was_asked_of_is_an_object_and_the_refusal_shows_it(
    built: Built, desk: Api
) -> None:
    wrong = {"kind": "clearance", "asked_of": "surgeon"}
    problem = refused(desk.post(f"clients/{open_client(built)}/papers", wrong), 400, "invalid")
    assert problem["errors"][0]["field"] == "asked_of"
    assert "with name, role and perhaps phone" in problem["errors"][0]["detail"]


def test_a_refused_clearance_narrows_at_once_and_until_it_is_lifted(
    built: Built, desk: Api, therapist: Api
) -> None:
    client = open_client(built)
    booked = book(desk, built, client, local(8))
    assert booked["hands_on"] == "all"
    made = ask(desk, client, {"kind": "clearance", "asked_of": SURGEON})
    path = f"clients/{client}/papers/{made['id']}"
    answered = ok(desk.post(f"{path}/answer", {"outcome": "refused", "words": "Not by hand."}))
    assert [one["code"] for one in answered["warnings"]] == ["paper.refusal_restricts"]
    (filed,) = ok(therapist.get(f"clients/{client}/orders"))["results"]
    assert (answered["order_ids"], filed["kind"]) == ([filed["id"]], "restriction")
    found = ok(therapist.get(f"sessions/{booked['id']}"))
    assert (found["hands_on"], found["flagged"]) == ("nothing", True)
    assert "order.restriction" in {one["code"] for one in found["flag_reasons"]}
    assert compare().differences == []


def test_a_paper_from_asking_to_its_order(
    built: Built, desk: Api, therapist: Api, owner: Api
) -> None:
    client = operated(built)
    made = ask(desk, client)
    path = f"clients/{client}/papers/{made['id']}"
    assert (made["status"], made["asked_of"]["phone"]) == ("waiting", "+14155550171")
    assert (made["asked_on"], made["waiting_days"]) == ("2026-03-02", 0)
    sent = ok(desk.post(f"{path}/sending", {"channel": "fax"}))
    assert (sent["sent_on"], sent["status"]) == ("2026-03-02", "waiting")
    told = ok(desk.post(f"{path}/reminder", {"channel": "phone", "words": "left a message"}))
    assert (told["reminded_on"], told["steps"][-1]["words"]) == ("2026-03-02", "left a message")
    answered = ok(desk.post(f"{path}/answer", {"outcome": "given", "expires_on": "2026-03-20"}))
    assert (answered["status"], answered["outcome"]) == ("answered", "given")
    assert [one["code"] for one in answered["warnings"]] == ["paper.order_not_filed"]
    assert answered["expiring"] is True
    assert ok(owner.get(f"clients/{client}/orders"))["results"] == [], "an answer files no order"
    order = {
        "kind": "clearance",
        "prescriber": "surgeon",
        "prescriber_name": "Amara Whitfield",
        "given_on": "2026-03-01",
        "subjects": ["stretching"],
        "sites": [{"region": "shoulder", "side": "right"}],
    }
    (filed,) = ok(therapist.post(f"clients/{client}/orders", order), 201)["results"]
    linked = ok(desk.post(f"{path}/order", {"order_id": filed["id"]}))
    assert (linked["order_ids"], linked["warnings"]) == ([filed["id"]], [])
    refused(desk.post(f"{path}/sending", {"channel": "fax"}), 409, "paper_answered")
    (step,) = (one for one in linked["steps"] if one["kind"] == "answered")
    back = ok(
        desk.post(f"{path}/step-in-error", {"step_id": step["id"], "reason": "another's fax"})
    )
    assert (back["status"], back["answered_on"]) == ("waiting", None)
    gone = ok(desk.post(f"{path}/withdrawal", {"reason": "moved away"}))
    assert gone["status"] == "withdrawn"
    assert compare().differences == []


def test_what_a_paper_is_for_is_not_the_desks_to_read(
    built: Built, desk: Api, therapist: Api
) -> None:
    client = operated(built)
    book(desk, built, client, local(3))
    made = ask(desk, client)
    path = f"clients/{client}/papers"
    ok(desk.post(f"{path}/{made['id']}/answer", {"outcome": "partly", "words": "left arm only"}))
    for shown in (made, *ok(desk.get(path))["results"], *ok(desk.get("papers"))["results"]):
        assert "asked_for" not in shown
        assert all("stretches" not in one for one in shown["holds_up"])
        assert all(one["words"] == "" for one in shown["steps"])
    assert {one["code"] for one in made["holds_up"][0]["reasons"]} == {"health"}
    (full,) = ok(therapist.get(path))["results"]
    assert full["asked_for"]["words"] == "the reconstructed side"
    assert full["steps"][-1]["words"] == "left arm only"


def test_a_paper_names_the_booked_sessions_that_wait_for_it(built: Built, therapist: Api) -> None:
    client = operated(built)
    later, sooner = (book(therapist, built, client, local(days)) for days in (4, 3))
    made = ask(therapist, client)
    held = made["holds_up"]
    assert [one["session_id"] for one in held] == [sooner["id"], later["id"]]
    assert held[0]["starts_at"] == local(3)
    assert held[0]["hands_on"] == "part"
    assert {one["code"] for one in held[0]["reasons"]} == {"surgery.no_clearance"}
    assert held[0]["stretches"], "by name"
    other_side = {"sites": [{"region": "leg", "side": "left"}]}
    assert ask(therapist, client, {**CLEARANCE, "asked_for": other_side})["holds_up"] == []
    active = {"techniques": ["active_isolated"]}
    assert ask(therapist, client, {**CLEARANCE, "asked_for": active})["holds_up"] == []
    load = {"subjects": ["load"]}
    assert ask(therapist, client, {**CLEARANCE, "asked_for": load})["holds_up"] == []
    assert ask(therapist, client, REFERRAL)["holds_up"] == []
    gone = f"clients/{client}/papers/{made['id']}/withdrawal"
    assert ok(therapist.post(gone, {"reason": "not needed"}))["holds_up"] == []


def test_the_list_is_of_clients_whom_the_caller_sees_and_each_read_is_logged(
    built: Built, desk: Api, owner: Api
) -> None:
    here, there = open_client(built), open_client(built, built.west)
    mine = ask(desk, here, REFERRAL)
    theirs = ask(owner, there, REFERRAL)
    refused(desk.post(f"clients/{there}/papers", REFERRAL), 404, "not_found")
    refused(
        desk.post(f"clients/{there}/papers/{theirs['id']}/sending", {"channel": "fax"}),
        404,
        "not_found",
    )
    refused(
        desk.post(f"clients/{here}/papers/{theirs['id']}/sending", {"channel": "fax"}),
        404,
        "not_found",
    )
    assert [one["id"] for one in ok(desk.get("papers"))["results"]] == [mine["id"]]
    assert len(ok(owner.get("papers"))["results"]) == 2
    read = ok(owner.get("access-log", {"client_id": str(there)}))["results"]
    assert "papers" in {one["what"] for one in read}


def test_the_list_tells_overdue_and_expiring_on_the_facilitys_day(built: Built, desk: Api) -> None:
    client = open_client(built)
    ask(desk, client, {**REFERRAL, "needed_by": "2026-03-03"})
    late = ask(desk, client, {**REFERRAL, "needed_by": "2026-03-02"})
    ending = ask(desk, client, {**REFERRAL, "expires_on": "2026-04-02"})

    signed_in: dict[str, Api] = {}

    def ids(at: str, query: dict[str, str]) -> list[str]:
        with clock.at(clock.now().fromisoformat(at)):
            if at not in signed_in:
                signed_in[at] = Api(token_for(built.staff[Role.FRONT_DESK]))
            return [one["id"] for one in ok(signed_in[at].get("papers", query))["results"]]

    late_on = {"overdue": "true"}
    assert ids("2026-03-02T23:59:00-05:00", late_on) == []
    assert ids("2026-03-03T00:00:00-05:00", late_on) == [late["id"]]
    soon = {"expiring": "true"}
    assert ids("2026-03-02T23:59:00-05:00", soon) == []
    assert ids("2026-03-03T00:00:00-05:00", soon) == [ending["id"]]
    assert len(ids("2026-03-03T00:00:00-05:00", {"overdue": "false"})) == 2
    assert len(ids("2026-03-03T00:00:00-05:00", {"expiring": "false"})) == 2
    assert len(ids("2026-03-03T00:00:00-05:00", {"status": "waiting", "from": "2026-03-03"})) == 2


def test_of_those_that_expire_the_first_to_end_comes_first(built: Built, desk: Api) -> None:
    client = open_client(built)
    ends = {"2026-03-20": "2026-03-10", "2026-03-09": "2026-04-10", "2026-03-28": "2026-03-05"}
    for last, needed in ends.items():
        ask(desk, client, {**REFERRAL, "needed_by": needed, "expires_on": last})
    found, query = [], {"expiring": "true", "page_size": "1"}
    while query.get("cursor", "first"):
        page = ok(desk.get("papers", query))
        found += [one["expires_on"] for one in page["results"]]
        query["cursor"] = page["next_cursor"]
    assert found == sorted(ends)
    usual = [one["needed_by"] for one in ok(desk.get("papers"))["results"]]
    assert usual == sorted(ends.values())


def test_each_zone_has_its_own_day(built: Built, owner: Api) -> None:
    """At 01:00 in the east of the third it is 22:00 of the second in the west."""
    east = ask(owner, open_client(built), {**REFERRAL, "needed_by": "2026-03-02"})
    west_client = ok(
        owner.post(
            "clients",
            {"given_name": "Wes", "family_name": "Lind", "facility_ids": [str(built.west.pk)]},
        ),
        201,
    )["id"]
    west = ask(owner, west_client, {**REFERRAL, "needed_by": "2026-03-02"})
    with clock.at(clock.now().fromisoformat("2026-03-03T01:00:00-05:00")):
        fresh = Api(token_for(built.staff[Role.OWNER]))
        (found,) = ok(fresh.get("papers", {"overdue": "true"}))["results"]
        assert (found["id"], found["overdue"]) == (east["id"], True)
        (other,) = ok(fresh.get("papers", {"overdue": "false"}))["results"]
        assert (other["id"], other["overdue"]) == (west["id"], False)


def test_what_expires_is_seen_from_the_day_in_its_own_zone(built: Built, owner: Api) -> None:
    """At 01:00 of the third in the east it is the second in the west; the lead is 30 days."""
    west_client = ok(
        owner.post(
            "clients",
            {"given_name": "Wes", "family_name": "Lind", "facility_ids": [str(built.west.pk)]},
        ),
        201,
    )["id"]
    seen = []
    for client in (open_client(built), west_client):
        for last in ("2026-03-02", "2026-04-01", "2026-04-02", "2026-04-03"):
            ask(owner, client, {**REFERRAL, "expires_on": last})
    with clock.at(clock.now().fromisoformat("2026-03-03T01:00:00-05:00")):
        fresh = Api(token_for(built.staff[Role.OWNER]))
        for row in ok(fresh.get("papers", {"expiring": "true"}))["results"]:
            place = "west" if row["client_id"] == west_client else "east"
            seen.append((row["expires_on"], place))
        called = ok(fresh.get("call-list", {"reason": "paper_expiring"}))["results"]
    assert sorted(seen) == [
        *(("2026-03-02", "west"), ("2026-04-01", "east"), ("2026-04-01", "west")),
        ("2026-04-02", "east"),
    ]
    assert len(called) == len(seen)


def test_orders_that_end_soon_stand_beside_the_papers(built: Built, owner: Api) -> None:
    client = open_client(built)

    def file(expires_on: str, kind: str = "clearance") -> None:
        body = {
            "kind": kind,
            "prescriber": "surgeon",
            "prescriber_name": "Amara Whitfield",
            "given_on": "2026-02-01",
            "subjects": ["stretching"],
            "sites": [{"region": "arm", "side": "left"}],
            "expires_on": expires_on,
        }
        ok(owner.post(f"clients/{client}/orders", body), 201)

    for day in ("2026-03-01", "2026-03-02", "2026-04-01", "2026-04-02"):
        file(day)
    file("2026-03-10", "restriction")
    shown = ok(owner.get(f"clients/{client}/papers"))["expiring"]
    assert [(one["kind"], one["expires_on"]) for one in shown] == [
        ("clearance", "2026-03-02"),
        ("clearance", "2026-04-01"),
    ]
    assert shown[0]["ask"] == "Amara Whitfield"


def test_a_correction_keeps_what_stood_before_in_the_history(
    built: Built, desk: Api, owner: Api
) -> None:
    client = open_client(built)
    made = ask(desk, client)
    path = f"clients/{client}/papers/{made['id']}/correction"
    fixed = ok(desk.post(path, {"needed_by": "2026-03-09", "reason": "misread"}))
    assert (fixed["needed_by"], fixed["corrections"]) == ("2026-03-09", ["misread"])
    refused(desk.post(path, {"reason": "again"}), 409, "nothing_to_correct")
    history = ok(owner.get(f"clients/{client}/history"))["results"]
    texts = [one["text"] for one in history if one["type"].startswith("paper.")]
    assert texts == [
        "Asked for a paper: clearance, of Amara Whitfield, needed by 2026-03-05.",
        "A paper was put right (misread): clearance, of Amara Whitfield, needed by 2026-03-09.",
    ]
    known = ok(owner.get(f"clients/{client}/record"))["more"]["papers"]
    assert [one["content"]["needed_by"] for one in known] == ["2026-03-09"]


def test_a_list_of_papers_takes_as_many_statements_for_one_as_for_twenty(
    built: Built, owner: Api
) -> None:
    def counted() -> int:
        ok(owner.get("papers"))
        with CaptureQueriesContext(connection) as heard:
            ok(owner.get("papers"))
        return len(heard)

    client = operated(built)
    book(owner, built, client, local(3))
    ask(owner, client)
    one = counted()
    for days in range(3):
        another = operated(built)
        book(owner, built, another, local(5 + days))
        for _again in range(5):
            ask(owner, another)
    assert counted() == one
