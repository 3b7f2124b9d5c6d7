"""Safety incidents over HTTP: who reads what, the owner's list, the desk's calls, no note."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import timedelta
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.api.prepared import NOW, Prepared
from tests.builders import ok, refused
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
WORDS = "slipped beside the table"
CLINICAL_WORDS = ("what_happened", "kind", "done_at_once")


@pytest.fixture
def p() -> Iterator[Prepared]:
    with ExitStack() as stack:
        stack.enter_context(clock.at(NOW))
        yield Prepared(stack)


def report(p: Prepared, **more: Any) -> dict[str, Any]:
    body = {"kind": "fall", "what_happened": WORDS, **more}
    made: dict[str, Any] = p.post(f"clients/{p.id('client')}/incidents", body, Role.FRONT_DESK)
    return made


def post(p: Prepared, one: dict[str, Any], act: str, body: Any) -> Any:
    return p.post(f"clients/{p.id('client')}/incidents/{one['id']}/{act}", body)


def listed(p: Prepared, **query: Any) -> list[str]:
    return [one["id"] for one in ok(p.api(Role.OWNER).get("incidents", query))["results"]]


def test_the_desk_reports_and_is_not_shown_what_happened(p: Prepared) -> None:
    made = report(p, told=[{"whom": "client", "words": WORDS}])
    assert not {*CLINICAL_WORDS} & made.keys()
    assert WORDS not in json.dumps(made)
    (shown,) = ok(p.api(Role.PRACTITIONER).get("incidents"))["results"]
    assert (shown["kind"], shown["what_happened"]) == ("fall", WORDS)
    assert shown["steps"][0]["words"] == WORDS
    assert (shown["open_days"], shown["reported_by_name"] != "") == (0, True)
    refused(p.api(Role.FRONT_DESK).get("incidents"), 403, "forbidden")


def test_the_owner_lists_open_ones_by_place_person_kind_and_time(p: Prepared) -> None:
    fall = report(p, session_id=p.id("session"))
    faint = report(p, kind="faint", happened_at="2026-03-08T10:00:00-04:00")
    assert listed(p) == [fall["id"], faint["id"]], "the latest first"
    assert listed(p, kind="faint") == [faint["id"]]
    assert listed(p, facility_id=str(p.built.east.pk)) == [fall["id"]]
    assert listed(p, practitioner_id=fall["practitioner_id"]) == [fall["id"]]
    assert listed(p, since="2026-03-09T00:00:00-04:00") == [fall["id"]]
    assert listed(p, until="2026-03-09T00:00:00-04:00") == [faint["id"]]
    post(p, fall, "told", {"whom": "owner"})
    assert post(p, fall, "closing", {"words": "healed"})["status"] == "closed"
    assert listed(p, status="open") == [faint["id"]]
    post(p, fall, "reopening", {"reason": "pain came back"})
    assert set(listed(p, status="open")) == {fall["id"], faint["id"]}


def test_closing_tells_of_the_call_that_leaves_the_call_list(p: Prepared) -> None:
    for call_on, warned in (("2026-03-09", ["call_no_longer_due"]), (None, [])):
        made = report(p, **({"call_on": call_on} if call_on else {}))
        post(p, made, "told", {"whom": "owner"})
        closed = post(p, made, "closing", {"words": "healed"})
        assert [one["code"] for one in closed["warnings"]] == warned
        assert all(call_on in one["text"] for one in closed["warnings"] if call_on)


def test_the_desk_calls_without_a_word_of_what_happened(p: Prepared) -> None:
    made, client = report(p, call_on="2026-03-09"), p.id("client")
    desk, asked = p.api(Role.FRONT_DESK), {"reason": "follow_up_call"}
    (entry,) = ok(desk.get("call-list", asked))["results"]
    assert entry["about_id"] == made["id"]
    assert WORDS not in json.dumps(entry)
    glance = ok(desk.get(f"clients/{client}/at-a-glance"))
    assert glance["followed_up"] == [
        {"incident_id": made["id"], "since": "2026-03-09", "ask": "", "call_on": "2026-03-09"}
    ]
    ok(desk.post(f"clients/{client}/calls", {"outcome": "reached"}), 201)
    post(p, made, "told", {"whom": "owner"})
    assert ok(desk.get("call-list", asked))["results"] == []
    p.stack.enter_context(clock.at(NOW + timedelta(minutes=1)))
    post(p, made, "follow-up", {"words": "swollen", "call_on": "2026-03-10"})
    assert ok(desk.get("call-list", asked))["results"] == [], "not before its day"
    p.stack.enter_context(clock.at(NOW + timedelta(days=1)))
    p.signed_in.clear()
    desk = p.api(Role.FRONT_DESK)
    assert len(ok(desk.get("call-list", asked))["results"]) == 1
    post(p, made, "in-error", {"reason": "another client"})
    assert ok(desk.get("call-list", asked))["results"] == []
    assert ok(desk.get(f"clients/{client}/at-a-glance"))["followed_up"] == []


def test_another_clients_session_is_refused_and_another_clients_incident_not_found(
    p: Prepared,
) -> None:
    made, other = report(p), open_client(p.built)
    path, owner = f"clients/{other}/incidents", p.api(Role.OWNER)
    refused(owner.post(f"{path}/{made['id']}/told", {"whom": "owner"}), 404, "not_found")
    body = {"kind": "fall", "what_happened": WORDS, "session_id": p.id("session")}
    refused(owner.post(path, body), 400, "invalid")
    for named in ("facility_id", "practitioner_id"):
        body = {"kind": "fall", "what_happened": WORDS, named: made["id"]}
        refused(owner.post(path, body), 404, "not_found")


def test_no_note_and_no_export_carries_it(p: Prepared) -> None:
    p.id("visit")
    made = report(p, session_id=p.id("session"))
    hands, billing = p.api(Role.PRACTITIONER), p.api(Role.BILLING)
    summary = f"authorizations/{p.id('authorization')}/visit-summary"
    p.post(
        summary, {"recipient": "Lakeshore claims", "purpose": "review", "overrule": "Due today."}
    )
    asked = p.post(f"clients/{p.id('client')}/record-requests", {})
    shown = [
        ok(hands.get(f"sessions/{p.id('session')}/note")),
        ok(hands.get(f"sessions/{p.id('session')}/plan")),
        ok(billing.get("visits")),
        ok(billing.get(summary)),
        asked,
    ]
    for one in map(json.dumps, shown):
        assert made["id"] not in one
        assert WORDS not in one
    known = ok(hands.get(f"clients/{p.id('client')}/record"))
    assert known["more"]["incidents"][0]["content"]["what_happened"] == WORDS, "the record has it"
