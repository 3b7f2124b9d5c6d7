"""The visit summary over HTTP: a disclosure first, then the file by its reference."""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from billing.payers.selectors import practice_today
from billing.summaries.models import Disclosure
from practice.accesslog.models import AccessEntry
from practice.audit.rebuild import compare
from practice.audit.services import destroy_key, erasure_approve, erasure_order
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.policy.models import Practice
from practice.work.unit_of_work import unit_of_work
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
    assert [row["record"] for row in download(world, stated["href"])] == ["authorization", "total"]
    named = world.billing.get(stated["href"])["Content-Disposition"]
    assert f'filename="visits-2026-03-03-to-2026-05-31-{stated["id"][:8]}.csv"' in named
    listed = ok(world.billing.get(f"clients/{world.client_id}/disclosures"))["results"]
    assert len(listed) == 2
    assert all(one["disclosed_by_name"] for one in listed)


def download(world: World, href: str) -> list[dict[str, str]]:
    answer = world.billing.get(href)
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/csv; charset=utf-8")
    text = b"".join(answer.streaming_content).decode("utf-8")  # type: ignore[attr-defined]
    assert text.count("\r\n") == len(text.split("\r\n")) - 1
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def test_an_export_is_a_disclosure_whose_file_is_read_by_reference(world: World) -> None:
    made = world.authorize()
    world.sign(0, stretching=33, cardio=7)
    world.sign(1)
    reference = ok(export(world, made), 201)
    assert reference["warnings"] == []
    authorization, one, two, *codes, total = download(world, reference["href"])
    assert [(row["service_code"], row["description"]) for row in codes] == [
        ("CAR15", "cardio"),
        ("STR15", "stretching"),
    ]
    assert authorization["practice"] == Practice.objects.get().name
    assert authorization["exported_on"] == str(practice_today())
    assert authorization["birth_date"] == "1961-07-04"
    assert (authorization["record"], one["record"], total["record"]) == (
        "authorization",
        "visit",
        "total",
    )
    assert (authorization["client"], authorization["payer"]) == ("Ada Lindqvist", "Lakeshore")
    assert (authorization["authorization_number"], authorization["member_id"]) == (
        "PA-417",
        "LHP-99812",
    )
    assert (one["units_CAR15"], one["units_STR15"], one["units_THX15"]) == ("1", "2", "0")
    assert (one["date"], two["date"]) == ("2026-03-02", "2026-03-03")
    assert (total["units"], total["visits_used"]) == ("5", "2")
    (listed,) = ok(world.billing.get(f"clients/{world.client_id}/disclosures"))["results"]
    assert listed["id"] == reference["id"]
    assert (listed["recipient"], listed["purpose"], listed["what"]) == (
        "Lakeshore claims",
        "review of March",
        "authorized_visit_summary",
    )
    assert (listed["starts_on"], listed["ends_on"]) == ("2026-03-01", "2026-05-31")


def test_an_export_while_units_wait_or_after_an_early_end_warns(world: World) -> None:
    made = world.authorize()
    world.sign(0, stretching=20, cardio=20)
    world.sign(7)
    (warning,) = ok(export(world, made), 201)["warnings"]
    assert warning["code"] == "units_await_override"
    assert "2026-03-02" in warning["text"]
    later = export(world, made, key="export-2", starts_on="2026-03-03")
    assert ok(later, 201)["warnings"] == []
    body = {"ends_on": "2026-03-04", "reason": "change of payer"}
    ok(world.desk.post(f"authorizations/{made['id']}/ending", body))
    reference = ok(export(world, made, key="export-3"), 201)
    assert [one["code"] for one in reference["warnings"]] == [
        "units_await_override",
        "used_after_end",
    ]
    first, *rows = download(world, reference["href"])
    visits = [row for row in rows if row["record"] == "visit"]
    assert first["ended_on"] == "2026-03-04"
    assert [row["used_after_end"] for row in visits] == ["", "yes"]


def test_diagnoses_are_in_the_file_of_those_who_may_read_them(world: World) -> None:
    made = world.authorize(world.billing, diagnoses=["M25.611"])
    reference = nothing_to_say(world, made)
    for api, reads in ((world.billing, True), (world.owner, False)):
        content = api.get(reference["href"]).streaming_content  # type: ignore[attr-defined]
        assert (b"M25.611" in b"".join(content)) == reads


def test_only_visits_of_the_period_asked_for_are_in_the_file(world: World) -> None:
    made = world.authorize()
    for day in range(3):
        world.sign(day)
    answer = export(world, made, starts_on="2026-03-03", ends_on="2026-03-03")
    rows = download(world, ok(answer, 201)["href"])
    assert [row["date"] for row in rows if row["record"] == "visit"] == ["2026-03-03"]


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


def test_a_summary_can_be_downloaded_for_a_day(
    world: World, monkeypatch: pytest.MonkeyPatch
) -> None:
    reference = nothing_to_say(world, world.authorize())
    disclosure = Disclosure.objects.get()
    for hours, status in ((23, 200), (25, 410)):
        Disclosure.objects.update(disclosed_at=disclosure.disclosed_at - timedelta(hours=hours))
        answer = world.billing.get(reference["href"])
        assert answer.status_code == status
    assert refused(answer, 410, "summary_expired")


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
    rows = download(world, reference["href"])
    assert (rows[0]["client"], rows[0]["visits_used"]) == ("", "1")
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
