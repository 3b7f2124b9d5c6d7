"""The visit summary over HTTP: sent once, kept as it was sent, read by its reference."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from billing.payers.selectors import practice_today
from billing.summaries.domain.forms import COLUMNS
from billing.summaries.models import Disclosure
from practice.accesslog.models import AccessEntry
from practice.audit.rebuild import compare
from practice.audit.services import destroy_key, erasure_approve, erasure_order
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.policy.models import Practice
from practice.work.unit_of_work import unit_of_work
from tests.billing.practice_rows import correct
from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused

pytestmark = pytest.mark.django_db

ASK = {"recipient": "Lakeshore claims", "purpose": "review of March"}


@pytest.fixture
def world(db: None) -> World:
    return World()


def export(world: World, made: dict[str, Any], key: str = "export-1", **body: Any) -> Any:
    path = f"authorizations/{made['id']}/visit-summary"
    return world.billing.post(path, {**ASK, **body}, key=key)


def nothing_to_say(world: World, made: dict[str, Any], key: str = "export-1") -> dict[str, Any]:
    """A statement that there were no visits."""
    stated: dict[str, Any] = ok(export(world, made, key=key, no_visits=True), 201)
    return stated


def test_an_export_without_visits_is_refused_and_no_disclosure(world: World) -> None:
    """Ruling 61."""
    made = world.authorize()
    refused(export(world, made), 409, "no_visits")
    world.sign(0)
    for day in ("2026-03-01", "2026-03-03"):
        answer = export(world, made, key=f"export-{day}", starts_on=day, ends_on=day)
        refused(answer, 409, "no_visits")
    assert not Disclosure.objects.exists()
    day = "2026-03-02"
    assert ok(export(world, made, key="that-day", starts_on=day, ends_on=day), 201)
    empty = {"starts_on": "2026-03-03", "no_visits": True}
    stated = ok(export(world, made, key="none", **empty), 201)
    assert download(world, stated["href"]) == []
    named = world.billing.get(stated["href"])["Content-Disposition"]
    assert f'filename="visits-2026-03-03-to-2026-05-31-{stated["id"][:8]}.csv"' in named
    listed = ok(world.billing.get(f"clients/{world.client_id}/disclosures"))["results"]
    assert len(listed) == 2
    assert all(one["disclosed_by_name"] for one in listed)


def read(world: World, href: str, accept: str = "text/csv", **query: str) -> bytes:
    answer = world.billing.get(href, query, HTTP_ACCEPT=accept)
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith(accept)
    assert answer["ETag"] == f'"{hashlib.sha256(answer.content).hexdigest()}"'
    return answer.content


def download(world: World, href: str) -> list[dict[str, str]]:
    text = read(world, href).decode("utf-8")
    assert text.count("\r\n") == len(text.split("\r\n")) - 1
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def document(world: World, href: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(read(world, href, "application/json"))
    return found


def test_an_export_is_a_disclosure_that_is_read_by_reference(world: World) -> None:
    made = world.authorize()
    world.sign(0, stretching=33, cardio=7)
    world.sign(1)
    answer = export(world, made)
    reference = ok(answer, 201)
    assert reference["warnings"] == []
    assert answer["Location"] == reference["href"]
    rows = download(world, reference["href"])
    assert tuple(rows[0]) == COLUMNS
    assert [
        (row["date"], row["service_code"], row["description"], row["minutes"], row["units"])
        for row in rows
    ] == [
        ("2026-03-02", "CAR15", "cardio", "7", "1"),
        ("2026-03-02", "STR15", "stretching", "33", "2"),
        ("2026-03-03", "STR15", "stretching", "30", "2"),
    ]
    assert {(row["client"], row["birth_date"], row["payer"]) for row in rows} == {
        ("Ada Lindqvist", "1961-07-04", "Lakeshore")
    }
    assert {(row["authorization_number"], row["member_id"]) for row in rows} == {
        ("PA-417", "LHP-99812")
    }
    whole = document(world, reference["href"])
    assert whole["heading"]["practice"] == Practice.objects.get().name
    assert whole["heading"]["exported_on"] == str(practice_today())
    assert (whole["totals"]["units"], whole["totals"]["visits_counted"]) == (5, 2)
    assert whole["totals"]["authorization"]["visits_left"] == 8
    (listed,) = ok(world.billing.get(f"clients/{world.client_id}/disclosures"))["results"]
    assert listed["id"] == reference["id"]
    assert (listed["recipient"], listed["purpose"], listed["what"]) == (
        "Lakeshore claims",
        "review of March",
        "authorized_visit_summary",
    )
    assert (listed["starts_on"], listed["ends_on"]) == ("2026-03-01", "2026-05-31")
    assert listed["sha256"] == reference["sha256"]


FORMS: list[tuple[str, str, dict[str, str]]] = [
    ("json", "application/json", {}),
    ("plain", "text/csv", {}),
    ("plain", "text/csv", {"dialect": "plain"}),
    ("spreadsheet", "text/csv", {"dialect": "spreadsheet"}),
]


def test_the_same_id_gives_the_same_bytes_for_ever(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ruling 59: after corrections, other names and years, in every form that was kept."""
    made = world.authorize()
    note = world.sign(0)
    reference = ok(export(world, made), 201)
    before = [read(world, reference["href"], accept, **query) for _, accept, query in FORMS]
    digests = [hashlib.sha256(content).hexdigest() for content in before]
    assert digests == [reference["sha256"][form] for form, _, _ in FORMS]
    correct(world.client_id, note, stretching=15)
    world.sign(1)
    Practice.objects.update(name="Another Name")
    changes = {"number": "PA-999", "reason": "typed wrong"}
    ok(world.desk.patch(f"authorizations/{made['id']}", changes))
    later = clock.now() + timedelta(days=3650)
    monkeypatch.setattr(clock, "now", lambda: later)
    world.billing = world.built.api(Role.BILLING)
    after = [read(world, reference["href"], accept, **query) for _, accept, query in FORMS]
    assert after == before


def test_a_summary_made_later_shows_what_was_corrected_and_the_list_says_which(
    world: World,
) -> None:
    """Ruling 59."""
    made = world.authorize()
    note = world.sign(0)
    world.sign(1)
    first = ok(export(world, made), 201)
    lists = (
        f"authorizations/{made['id']}/visit-summary",
        f"clients/{world.client_id}/visit-summaries",
    )
    for path in lists:
        (listed,) = ok(world.billing.get(path))["results"]
        assert (listed["corrected_since_sent"], listed["corrections"]) == (False, [])
    correct(world.client_id, note, stretching=15)
    for path in lists:
        (listed,) = ok(world.billing.get(path))["results"]
        assert (listed["id"], listed["corrected_since_sent"]) == (first["id"], True)
        (one,) = listed["corrections"]
        assert one["date"] == "2026-03-02"
        assert {"service_code": "STR15", "field": "units", "sent": 2, "now": 1} in one[
            "corrected_fields"
        ]
        assert one["reasons"][0]["what"] == "an addendum corrected the note"
    second = ok(export(world, made, key="export-2", ends_on="2026-03-02"), 201)
    assert [one["code"] for one in second["warnings"]] == ["corrected_since_sent"]
    (row,) = download(world, second["href"])
    assert row["correction"] == ("minutes: 30 was sent, 15 is right; units: 2 was sent, 1 is right")
    assert row["correction_reason"].endswith("an addendum corrected the note")
    (told,) = document(world, second["href"])["corrections"]
    assert (told["summary_id"], told["date"]) == (first["id"], "2026-03-02")
    listed = ok(world.billing.get(lists[1]))["results"]
    assert [(one["id"], one["corrected_since_sent"]) for one in listed] == [
        (second["id"], False),
        (first["id"], True),
    ]
    other = {"authorization_id": NOBODY_KNOWS}
    assert ok(world.billing.get(lists[1], other))["results"] == []
    refused(world.desk.get(lists[0]), 403, "forbidden")
    refused(world.billing.get(f"clients/{NOBODY_KNOWS}/visit-summaries"), 404, "not_found")
    reads = AccessEntry.objects.filter(client_id=world.client_id, what="visit summaries")
    assert reads.count() == 6


def test_a_summary_of_another_authorization_is_not_corrected_by_this_one(world: World) -> None:
    first = world.authorize(visits=1)
    second = world.authorize(number="PA-418", ends_on="2026-06-30")
    world.sign(0)
    world.sign(1)
    ok(export(world, first), 201)
    sent = ok(export(world, second, key="export-2"), 201)
    assert sent["warnings"] == []
    assert document(world, sent["href"])["corrections"] == []
    listed = ok(world.billing.get(f"clients/{world.client_id}/visit-summaries"))["results"]
    assert [one["authorization_number"] for one in listed] == ["PA-418", "PA-417"]
    assert [one["corrected_since_sent"] for one in listed] == [False, False]
    asked = {"authorization_id": first["id"]}
    (one,) = ok(world.billing.get(f"clients/{world.client_id}/visit-summaries", asked))["results"]
    assert one["authorization_number"] == "PA-417"


def test_json_has_no_dialect_and_a_dialect_is_one_of_two(world: World) -> None:
    """Ruling 61."""
    href = nothing_to_say(world, world.authorize())["href"]
    asked = {"dialect": "spreadsheet"}
    problem = refused(
        world.billing.get(href, asked, HTTP_ACCEPT="application/json"), 400, "invalid"
    )
    assert problem["errors"][0]["field"] == "dialect"
    wrong = {"dialect": "semicolon"}
    refused(world.billing.get(href, wrong, HTTP_ACCEPT="text/csv"), 400, "invalid")


def test_an_export_while_units_wait_or_after_an_early_end_warns(world: World) -> None:
    made = world.authorize()
    world.sign(0, stretching=20, cardio=20)
    world.sign(7)
    problem = refused(export(world, made), 409, "units_await_override")
    assert "2026-03-02" in problem["detail"]
    assert "overrule" in problem["detail"]
    refused(export(world, made, overrule=" "), 400, "invalid")
    assert not Disclosure.objects.exists()  # It is warned before it is sealed, not after.
    waits = {"overrule": "the payer asked for it today"}
    warnings = ok(export(world, made, key="export-1a", **waits), 201)["warnings"]
    assert [one["code"] for one in warnings] == ["units_await_override", "overruled"]
    assert warnings[1]["text"].endswith(waits["overrule"])
    texts = ok(world.owner.get(f"clients/{world.client_id}/history"))["results"]
    assert any(waits["overrule"] in one["text"] for one in texts)
    later = export(world, made, key="export-2", starts_on="2026-03-03")
    assert ok(later, 201)["warnings"] == []
    body = {"ends_on": "2026-03-04", "reason": "change of payer"}
    ok(world.desk.post(f"authorizations/{made['id']}/ending", body))
    reference = ok(export(world, made, key="export-3", **waits), 201)
    assert [one["code"] for one in reference["warnings"]] == [
        "units_await_override",
        "used_after_end",
        "overruled",
    ]
    assert document(world, reference["href"])["heading"]["ended_on"] == "2026-03-04"
    rows = download(world, reference["href"])
    assert [(row["date"], row["used_after_end"]) for row in rows] == [
        ("2026-03-02", ""),
        ("2026-03-02", ""),
        ("2026-03-09", "yes"),
    ]


def test_diagnoses_are_in_it_where_asked_for_by_one_who_may_read_them_and_for_those(
    world: World,
) -> None:
    made = world.authorize(world.billing, diagnoses=["M25.611"])
    world.sign(0)
    path = f"authorizations/{made['id']}/visit-summary"
    asked = {**ASK, "diagnoses": True}
    refused(world.owner.post(path, asked, key="owner"), 403, "diagnoses_not_yours")
    without = ok(export(world, made), 201)
    whole = ok(export(world, made, key="with", diagnoses=True), 201)
    for href, holds in ((without["href"], False), (whole["href"], True)):
        for _, accept, query in FORMS:
            assert (b"M25.611" in read(world, href, accept, **query)) == holds
    assert world.owner.get(without["href"]).status_code == 200
    refused(world.owner.get(whole["href"]), 403, "diagnoses_not_yours")


def test_only_visits_of_the_period_asked_for_are_in_the_file(world: World) -> None:
    made = world.authorize()
    for day in range(3):
        world.sign(day)
    answer = export(world, made, starts_on="2026-03-03", ends_on="2026-03-03")
    rows = download(world, ok(answer, 201)["href"])
    assert [row["date"] for row in rows] == ["2026-03-03"]


def test_a_repeat_with_the_same_key_is_the_same_disclosure(world: World) -> None:
    made = world.authorize()
    assert nothing_to_say(world, made) == nothing_to_say(world, made)
    assert Disclosure.objects.count() == 1
    nothing_to_say(world, made, key="export-2")
    assert Disclosure.objects.count() == 2
    answer = export(world, made, purpose="another purpose")
    assert answer.status_code == 422


def test_an_export_needs_a_key_a_recipient_and_a_purpose(world: World) -> None:
    made = world.authorize()
    path = f"authorizations/{made['id']}/visit-summary"
    refused(world.billing.post(path, ASK), 400, "idempotency_key_required")
    for name in ASK:
        body = {key: value for key, value in ASK.items() if key != name}
        problem = refused(world.billing.post(path, body, key="k"), 400, "invalid")
        assert problem["errors"][0]["field"] == name
    backwards = {**ASK, "starts_on": "2026-05-01", "ends_on": "2026-04-01"}
    refused(world.billing.post(path, backwards, key="k"), 400, "invalid")
    assert not Disclosure.objects.exists()


def test_a_download_is_kept_in_the_log_of_reads(world: World) -> None:
    reference = nothing_to_say(world, world.authorize())
    download(world, reference["href"])
    read = AccessEntry.objects.filter(client_id=world.client_id, what="visit summary")
    assert read.count() == 1


def test_a_problem_is_json_where_only_csv_was_asked_for(world: World) -> None:
    answer = world.billing.get(f"visit-summaries/{NOBODY_KNOWS}", HTTP_ACCEPT="text/csv")
    refused(answer, 404, "not_found")
    reference = nothing_to_say(world, world.authorize())
    for accepts in ("text/csv", "*/*"):
        assert world.billing.get(reference["href"], HTTP_ACCEPT=accepts).status_code == 200
    refused(world.billing.get(reference["href"], HTTP_ACCEPT="image/png"), 406, "not_acceptable")


def test_statements_of_a_download_do_not_grow_with_the_visits(world: World) -> None:
    made = world.authorize(visits=100, units=400)
    counts: list[int] = []
    for days in (range(1), range(1, 6)):
        for day in days:
            world.sign(day)
        href = ok(export(world, made, key=f"export-{len(counts)}"), 201)["href"]
        with CaptureQueriesContext(connection) as caught:
            download(world, href)
        counts.append(len(caught))
    assert counts[0] == counts[1]


def test_an_unknown_client_has_no_disclosures(world: World) -> None:
    refused(world.billing.get(f"clients/{NOBODY_KNOWS}/disclosures"), 404, "not_found")
    answer = world.billing.post(f"authorizations/{NOBODY_KNOWS}/visit-summary", ASK, key="k")
    refused(answer, 404, "not_found")


def test_disclosures_and_totals_outlive_the_record(world: World) -> None:
    """What survives: authorization number, payer, codes, dates, minutes, units,
    disclosures; nothing that names the client."""
    made = world.authorize(world.billing, diagnoses=["M25.611"])
    world.sign(0)
    reference = ok(export(world, made), 201)
    before = ok(world.billing.get(f"authorizations/{made['id']}"))
    (disclosed,) = ok(world.billing.get(f"clients/{world.client_id}/disclosures"))["results"]
    erase(world)
    after = ok(world.billing.get(f"authorizations/{made['id']}"))
    assert after == {**before, "client_name": "", "member_id": "", "diagnoses": []}
    assert ok(world.billing.get(f"clients/{world.client_id}/disclosures"))["results"] == [disclosed]
    (visit,) = world.visits()
    assert (visit["local_date"], visit["used_units"]) == ("2026-03-02", {"STR15": 2})
    refused(world.billing.get(reference["href"]), 410, "summary_erased")
    (listed,) = ok(world.billing.get(f"clients/{world.client_id}/visit-summaries"))["results"]
    assert (listed["corrected_since_sent"], listed["corrections"]) == (None, [])
    assert listed["sha256"] == disclosed["sha256"] == reference["sha256"]
    assert compare().differences == []
    refused(export(world, made, key="export-2"), 409, "record_closed")


def erase(world: World) -> None:
    """The owner orders, a practitioner agrees, the key is destroyed."""
    second = world.built.actor(Role.PRACTITIONER)
    with unit_of_work(actor=world.built.actor(Role.OWNER), request_id="order") as uow:
        order = {"reason": "the client asked", "before_retention": True}
        erasure_order(uow, client_id=world.client_id, command=order)
    with unit_of_work(actor=second, request_id="agree") as uow:
        erasure_approve(uow, client_id=world.client_id)
    with unit_of_work(actor=second, request_id="destroy") as uow:
        destroy_key(uow, ScheduledJob(subject=world.client_id))
