"""Progress notes over HTTP: the payer's rule, the list of what is due, recorded and taken back."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from msgspec import structs

from billing.progress_notes.models import ProgressNote, TreatmentPeriod
from practice.audit.rebuild import compare, rebuild
from practice.clock import clock
from practice.core.terms import Credential, Role, SessionPart
from practice.policy.models import PracticeSetting
from tests.billing.practice_rows import FIRST, note_on, sign
from tests.billing.test_api_sessions import codes
from tests.billing.test_api_summaries import erase
from tests.billing.world import World
from tests.builders import Api, account, ok, refused, token_for
from tests.sessions.booking.http import WELL, book, local
from tests.sessions.booking.test_http_red_flags import arrive, soon

pytestmark = pytest.mark.django_db

RULE = {"treatment_days": 4, "source": "contract of 2026-01-04"}
DUE = "progress-notes/due"


@pytest.fixture
def world(db: None) -> World:
    made = World()
    asks(made, RULE)
    made.authorize()
    return made


def asks(world: World, rule: dict[str, Any] | None, **more: Any) -> dict[str, Any]:
    body = {"progress_note_rule": rule, "in_force_from": "2026-01-01", **more}
    revision = world.payer_revision()
    sent = world.billing.patch(f"payers/{world.payer.pk}", body, match=revision)
    changed: dict[str, Any] = ok(sent)
    return changed


def day(number: int) -> str:
    return (FIRST + timedelta(days=number)).isoformat()


def treated(world: World, *numbers: int) -> None:
    for number in numbers:
        world.sign(number)


def due(world: World, **query: Any) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ok(world.billing.get(DUE, query))["results"]
    return found


def path(world: World) -> str:
    return f"clients/{world.client_id}/progress-notes"


def record(world: World, until: int, **more: Any) -> dict[str, Any]:
    body = {"covers_until": day(until), "kept_as": "paper", **more}
    made: dict[str, Any] = ok(world.paula.post(path(world), body), 201)
    return made


def test_the_payers_rule_is_its_own_data_with_dates_and_off_at_first(world: World) -> None:
    shown = ok(world.billing.get(f"payers/{world.payer.pk}"))
    assert shown["progress_note_rule"] == {
        "treatment_days": 4,
        "calendar_days": None,
        "warn_treatment_days": 2,
        "warn_calendar_days": 7,
        "source": "contract of 2026-01-04",
    }
    assert [one["progress_note_rule"] for one in shown["past_rules"]] == [None]
    off = asks(world, None, in_force_from=clock.now().date().isoformat())
    assert off["progress_note_rule"] is None
    treated(world, 0, 1, 2, 3, 4)
    assert due(world) == []
    added = ok(world.billing.post("payers", {"name": "H", "unit_rule": "cms_total_time",
        "paid_credentials": []}), 201)  # fmt: skip
    assert added["progress_note_rule"] is None
    wrong = {"progress_note_rule": {"treatment_days": 0, "source": "x"}}
    revision = world.payer_revision()
    answer = world.billing.patch(f"payers/{world.payer.pk}", wrong, match=revision)
    assert "progress_note_rule" in str(refused(answer, 400, "invalid"))


def test_it_stands_on_the_list_before_it_is_due_and_until_a_note_covers_it(world: World) -> None:
    treated(world, 0)
    assert due(world) == []
    assert [one["status"] for one in due(world, status="running")] == ["running"]
    treated(world, 1)
    (row,) = due(world)
    assert (row["status"], row["days_left"], row["due_on"]) == ("coming", 2, None)
    assert (row["discipline"], row["payer_name"]) == ("physical_therapy", "Lakeshore")
    treated(world, 3, 3, 4)
    (row,) = due(world, status="overdue", payer_id=str(world.payer.pk))
    assert row["treatment_days"] == [day(0), day(1), day(3), day(4)]
    assert (row["begins_on"], row["due_on"]) == (day(0), day(4))
    assert due(world, status="due") == due(world, status="coming") == []
    made = record(world, 4, kept_where="the folder")
    assert (made["author_name"], made["discipline"]) == ("Paula", "physical_therapy")
    assert due(world) == []
    assert [one["id"] for one in ok(world.billing.get(path(world)))["results"]] == [made["id"]]


def test_taken_back_its_days_count_again(world: World) -> None:
    treated(world, 0, 1, 2, 3, 4)
    made = record(world, 3)
    assert due(world) == []
    one = f"progress-notes/{made['id']}"
    taken = ok(world.paula.post(f"{one}/in-error", {"reason": "the other client's"}))
    assert taken["in_error"] == "the other client's"
    assert [row["treatment_days"] for row in due(world)] == [[day(n) for n in range(5)]]
    again = world.owner.post(f"{one}/in-error", {"reason": "again"})
    refused(again, 409, "progress_note_in_error")
    assert ok(world.owner.get(one))["in_error"] == "the other client's"
    record(world, 3)


def test_a_late_note_and_a_voided_one_shift_the_count_by_themselves(world: World) -> None:
    """A session note signed later for a day of the period brings it nearer."""
    treated(world, 0, 4, 5)
    assert [one["days_left"] for one in due(world)] == [1]
    treated(world, 2)
    (row,) = due(world)
    assert (row["due_on"], row["days_left"]) == (day(5), 0)


def test_of_a_client_who_pays_for_themself_nobody_asks(world: World) -> None:
    treated(world, 0, 1, 2, 3)
    assert len(due(world)) == 1
    said = {"starts_on": day(3), "reason": "said so"}
    ok(world.desk.post(f"clients/{world.client_id}/self-pay", said), 201)
    assert due(world) == []
    no_more = {**said, "self_paying": False}
    ok(world.desk.post(f"clients/{world.client_id}/self-pay", no_more), 201)
    assert len(due(world)) == 1


def test_only_a_clinician_records_one(world: World) -> None:
    """Not an assistant, a trainer or a massage therapist, whomever the practice lets evaluate."""
    evaluating = [one.value for one in Credential]
    PracticeSetting.objects.filter(key="evaluating_credentials").update(value=evaluating)
    treated(world, 0)
    body = {"covers_until": day(0), "kept_as": "other"}
    paula = world.built.practitioners[Credential.PHYSICAL_THERAPIST]
    for credential in Credential:
        paula.credential = credential.value
        paula.save()
        answer = world.paula.post(path(world), body)
        if credential is Credential.PHYSICAL_THERAPIST:
            made = ok(answer, 201)
        elif credential is Credential.OCCUPATIONAL_THERAPIST:
            refused(answer, 409, "no_treatment_day")
        else:
            refused(answer, 403, "may_not_evaluate")
            taken = world.paula.post(f"progress-notes/{made['id']}/in-error", {"reason": "no"})
            refused(taken, 403, "may_not_evaluate")


def test_a_booking_and_the_day_sheet_warn_before(world: World) -> None:
    world.authorize(number="PA-9", starts_on=local(-1)[:10], ends_on=local(30)[:10])
    days = [local(number) for number in (1, 2, 3, 4, 5)]
    told = [codes(book(world.built, world.client_id, one)) for one in days]
    found = [
        one & {f"progress_note_{word}" for word in ("coming", "due", "overdue")} for one in told
    ]
    assert found == [
        set(),
        {"progress_note_coming"},
        {"progress_note_coming"},
        {"progress_note_due"},
        {"progress_note_overdue"},
    ]
    missing = ok(world.desk.get(f"clients/{world.client_id}/at-a-glance"))["missing"]
    assert {"pn-soon", "pn-due", "pn-late"} <= set(missing)
    assert "this visit" in missing["pn-due"]


def test_sessions_booked_in_another_discipline_are_no_treatment_days_of_this_one(
    world: World,
) -> None:
    world.authorize(number="PA-9", starts_on=local(-1)[:10], ends_on=local(30)[:10])
    asks(world, {**RULE, "treatment_days": 2, "warn_treatment_days": 0})
    olga = str(world.built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk)
    book(world.built, world.client_id, local(1), practitioner_id=olga)
    assert "progress_note_due" not in codes(book(world.built, world.client_id, local(2)))
    assert "progress_note_due" in codes(book(world.built, world.client_id, local(3)))
    said = {"starts_on": local(4)[:10], "reason": "said so"}
    ok(world.desk.post(f"clients/{world.client_id}/self-pay", said), 201)
    paid = codes(book(world.built, world.client_id, local(4)))
    assert not {one for one in paid if one.startswith("progress_note")}


def test_no_note_is_asked_for_at_sessions_of_massage(world: World) -> None:
    """Who gives them may not write one: nobody could end the warning."""
    world.authorize(number="PA-9", starts_on=local(-1)[:10], ends_on=local(30)[:10])
    asks(world, {**RULE, "treatment_days": 1})
    marco = str(world.built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    told = codes(book(world.built, world.client_id, local(1), practitioner_id=marco))
    assert not {one for one in told if one.startswith("progress_note")}
    missing = ok(world.desk.get(f"clients/{world.client_id}/at-a-glance"))["missing"]
    assert not {one for one in missing if one.startswith("pn-")}
    assert "progress_note_due" in codes(book(world.built, world.client_id, local(2)))


def test_the_payers_id_is_read_as_its_filter_reads_it(world: World) -> None:
    treated(world, 0, 1, 2, 3)
    assert due(world, payer_id=f" {world.payer.pk} ") == due(world, payer_id=str(world.payer.pk))
    refused(world.billing.get(DUE, {"payer_id": "Lakeshore"}), 400, "invalid")


def test_an_opening_warns_of_the_note_that_is_due(world: World) -> None:
    """The practitioner who is about to write the session's note reads it there."""
    world.authorize(number="PA-9", starts_on=local(-1)[:10], ends_on=local(30)[:10])
    session = soon(world.built, world.client_id)
    asks(world, {**RULE, "treatment_days": 1})
    ok(arrive(world.desk, session, WELL))
    opened = ok(world.paula.post(f"sessions/{session['id']}/opening"))
    told = [opened["reason_texts"][str(number)] for number in opened["opening_warnings"]]
    assert "progress_note_due" in {one["code"] for one in told}


def test_rows_are_the_same_made_anew_and_an_erasure_leaves_the_days_alone(world: World) -> None:
    treated(world, 0, 1, 2)
    record(world, 1, kept_where="shelf by the window")
    wrong = record(world, 2)
    ok(world.paula.post(f"progress-notes/{wrong['id']}/in-error", {"reason": "misread"}))
    rebuild()
    assert compare().differences == []
    assert [one["treatment_days"] for one in due(world, status="running")] == [[day(2)]]
    erase(world)
    (kept,) = ProgressNote.objects.filter(client_id=world.client_id)
    assert (kept.covers_until, kept.discipline) == (FIRST + timedelta(days=1), "physical_therapy")
    assert (kept.kept_where, kept.kept_as, kept.in_error) == ("", "", "")
    assert not TreatmentPeriod.objects.filter(client_id=world.client_id).exists()
    assert compare().differences == []


def test_what_the_caller_does_not_see_is_not_found(world: World) -> None:
    treated(world, 0, 1)
    made = record(world, 1)
    stranger = account("ned", Role.PRACTITIONER, world.built.west)
    ned = Api(token_for(stranger))
    refused(ned.get(path(world)), 404, "not_found")
    refused(ned.get(f"progress-notes/{made['id']}"), 404, "not_found")
    treated(world, 2, 3)
    assert ok(ned.get(DUE))["results"] == []
    assert len(due(world)) == 1


def test_days_of_two_disciplines_are_counted_apart(world: World) -> None:
    treated(world, 0, 1)
    other = note_on(2, {SessionPart.STRETCHING: 30})
    sign(world.client_id, structs.replace(other, credential=Credential.OCCUPATIONAL_THERAPIST))
    rows = due(world, status="coming") + due(world, status="running")
    assert sorted((row["discipline"], len(row["treatment_days"])) for row in rows) == [
        ("occupational_therapy", 1),
        ("physical_therapy", 2),
    ]
