"""Erasure: a marker in every text field of a client's record, then not one trace of it."""

from __future__ import annotations

import gzip
import json
from datetime import timedelta
from typing import Any

import pytest
from dateutil.relativedelta import relativedelta
from django.apps import apps
from django.core import serializers

from practice.audit import rebuild
from practice.audit.verification import verify_log
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from practice.keys.keystore import keystore
from practice.keys.models import DataKey
from practice.policy import hooks
from tests.builders import NOBODY_KNOWS, Built, account, build_practice, ok, refused, seal_practice
from tests.sessions.booking.http import local

pytestmark = pytest.mark.django_db(transaction=True)

CANARY = "zwitserkanarie"


@pytest.fixture
def built() -> Built:
    return build_practice()


def marked(built: Built) -> str:
    """A client with the marker in every text that the front desk and practitioners can write."""
    desk, hands = built.api(Role.FRONT_DESK), built.api(Role.PRACTITIONER)
    details = {
        "given_name": CANARY,
        "family_name": CANARY,
        "birth_date": "1970-01-01",
        "phone": "+12155550100",
        "email": f"{CANARY}@example.org",
        "contact_by": "mail",
    }
    client = ok(desk.post("clients", details), 201)["id"]
    history = {
        "operations": [{"kind": "mastectomy", "side": "left", "on": "2026-01-05", "text": CANARY}],
        "conditions": [{"kind": "cording", "text": CANARY}],
        "text": CANARY,
    }
    told = ok(desk.post(f"clients/{client}/health-history", {**history, "informant": CANARY}), 201)
    review = f"clients/{client}/health-history/review"
    [report] = ok(hands.get(f"clients/{client}/health-history"))["reports"]
    said = {**history, "neck": "none", "conditions": report["content"]["conditions"]}
    ok(hands.post(review, said, match=told["version"]))
    consent = {
        "regions": [{"region": "shoulder", "side": "both"}],
        "techniques": ["active_isolated"],
        "form": "spoken_with_witness",
        "language": "en",
        "obtained_by": CANARY,
        "witness": f"{CANARY}, a witness",
    }
    ok(desk.post(f"clients/{client}/touch-consent", consent), 201)
    order = {
        "kind": "clearance",
        "prescriber": "surgeon",
        "prescriber_name": CANARY,
        "given_on": "2026-02-01",
        "subjects": ["stretching"],
        "sites": [{"region": "shoulder", "side": "left"}],
        "text": CANARY,
    }
    ok(hands.post(f"clients/{client}/orders", order), 201)
    ok(desk.post(f"clients/{client}/self-pay", {"starts_on": "2026-01-01", "reason": CANARY}), 201)
    worked(built, client)
    ok(desk.post(f"clients/{client}/touch-consent/withdrawal", {"reason": CANARY}))
    return str(client)


def worked(built: Built, client: str) -> None:
    """A session that took place, with its note, a draft after it, readings and stretches."""
    desk, hands = built.api(Role.FRONT_DESK), built.api(Role.PRACTITIONER)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    session = ok(
        desk.post(
            "sessions",
            {
                "client_id": client,
                "practitioner_id": str(paula),
                "facility_id": str(built.east.pk),
                "starts_at": local(-2),
                "minutes": 60,
                "attendance": "attended",
                "answers": {"hands_on_today": "yes", "pain_now": 1, "other_symptoms": CANARY},
            },
            key="booked",
        ),
        201,
    )["id"]
    reading = {
        "movement": "shoulder_flexion",
        "side": "left",
        "motion": "active",
        "degrees": 140,
        "position": "sitting",
        "instrument": "goniometer",
        "explanation": CANARY,
    }
    ok(hands.post(f"clients/{client}/range-of-motion", reading), 201)
    stretch = {"stretch": "flexion_pattern", "side": "left", "reason": CANARY}
    ok(hands.post(f"clients/{client}/stretches", stretch), 201)
    note = {"device": "d", "sequence": 1, "minutes": {"stretching": 40}, "not_counted_minutes": 20}
    texts = dict.fromkeys(("subjective", "objective", "assessment", "plan"), CANARY)
    draft = ok(hands.patch(f"sessions/{session}/note", {**note, **texts}, match=0))
    signature = f"sessions/{session}/note/signature"
    ok(hands.post(signature, {}, match=draft["revision"], key="signed"), 201)
    ok(hands.post(f"sessions/{session}/note/addenda", {"text": CANARY}), 201)


def everything_stored() -> str:
    """Every row of every table as text, with what binary columns hold."""
    rows: list[str] = []
    for model in apps.get_models():
        rows.append(serializers.serialize("json", model._default_manager.all()))
        for row in model._default_manager.values():
            rows.extend(
                bytes(value).decode("latin-1")
                for value in row.values()
                if isinstance(value, bytes | memoryview)
            )
    return "\n".join(rows)


def order(built: Built, client: str) -> dict[str, Any]:
    """The owner's order, before the retention has passed; its reason bears the marker too."""
    body = {"reason": f"the client asked, {CANARY}", "before_retention": True}
    answer: dict[str, Any] = ok(built.api(Role.OWNER).post(f"clients/{client}/erasure", body))
    return answer


def erase(built: Built, client: str) -> None:
    owner, hands = built.api(Role.OWNER), built.api(Role.PRACTITIONER)
    order(built, client)
    refused(owner.post(f"clients/{client}/erasure/approval"), 409, "second_person_needed")
    ok(hands.post(f"clients/{client}/erasure/approval"))
    run_due_jobs()


def test_not_one_trace_is_left_and_the_chain_still_verifies(built: Built) -> None:
    client = marked(built)
    assert CANARY in everything_stored()  # the test can see it where it is readable
    erase(built, client)
    assert CANARY not in everything_stored()
    assert ok(built.api(Role.OWNER).get(f"clients/{client}/erasure"))["state"] == "key_destroyed"
    seal_practice()  # the builders write plainly
    assert verify_log().faults == []
    assert rebuild.compare().differences == []


def test_a_backup_from_before_cannot_be_read_with_todays_keys(built: Built) -> None:
    client = marked(built)
    before = gzip.compress(backup().encode())
    erase(built, client)
    keystore.invalidate()
    assert CANARY not in gzip.decompress(before).decode()
    assert not DataKey.objects.filter(subject=client, destroyed_at=None).exists()


def backup() -> str:
    """Log, settings and working papers: everything but the read tables and the keys."""
    kept = [
        model
        for model in apps.get_models()
        if model._meta.app_label != "keys" and not is_read_table(model)
    ]
    rows = [row for model in kept for row in model._default_manager.values()]
    return json.dumps([[plain(value) for value in row.values()] for row in rows])


def plain(value: Any) -> str:
    binary = isinstance(value, bytes | memoryview)
    return bytes(value).decode("latin-1") if binary else str(value)


def is_read_table(model: Any) -> bool:
    from practice.work.models import ReadTable

    return issubclass(model, ReadTable)


def test_with_two_owners_the_other_owner_must_agree(built: Built) -> None:
    account("second.owner", Role.OWNER)
    client = marked(built)
    order(built, client)
    hands = built.api(Role.PRACTITIONER)
    refused(hands.post(f"clients/{client}/erasure/approval"), 409, "second_person_needed")


def test_an_order_can_be_taken_back_until_it_is_agreed(built: Built) -> None:
    client, owner = marked(built), built.api(Role.OWNER)
    order(built, client)
    assert ok(owner.delete(f"clients/{client}/erasure"))["state"] == "none"
    refused(
        built.api(Role.PRACTITIONER).post(f"clients/{client}/erasure/approval"),
        409,
        "no_erasure_order",
    )


def test_nothing_is_added_to_an_erased_record(built: Built) -> None:
    client = marked(built)
    erase(built, client)
    desk = built.api(Role.FRONT_DESK)
    answer = desk.patch(f"clients/{client}", {"given_name": "Back"})
    assert answer.status_code in (404, 409)
    assert rebuild.compare().differences == []


def test_what_waits_in_an_erased_record_is_not_done(built: Built) -> None:
    client, later = marked(built), clock.now() + timedelta(days=30)
    ScheduledJob.objects.create(
        kind="recheck", key="waits", subject=client, about=NOBODY_KNOWS, due_at=later
    )
    erase(built, client)
    assert ScheduledJob.objects.get(key="waits").status == ScheduledJob.Status.WITHDRAWN
    assert ScheduledJob.objects.get(kind="destroy_key").status == ScheduledJob.Status.DONE


def test_before_the_retention_has_passed_the_order_says_so(built: Built) -> None:
    client, owner = marked(built), built.api(Role.OWNER)
    path, reason = f"clients/{client}/erasure", {"reason": "moved away"}
    years = relativedelta(years=6)  # the shipped default: practice policy
    last_day = (clock.now() + years).date()
    problem = refused(owner.post(path, reason), 409, "retention_not_passed")
    assert problem["retained_until"] == str(last_day)
    assert ok(owner.get(path))["state"] == "none"
    made = ok(owner.post(path, {**reason, "before_retention": True}))
    assert (made["before_retention"], made["retained_until"]) == (True, str(last_day))


def test_once_the_retention_has_passed_nothing_more_is_asked(built: Built) -> None:
    client = marked(built)
    with clock.at(clock.now() + timedelta(days=6 * 366)):
        path = f"clients/{client}/erasure"
        made = ok(built.api(Role.OWNER).post(path, {"reason": "retention has passed"}))
    assert (made["state"], made["before_retention"]) == ("ordered", False)


def test_the_order_warns_of_what_stands_open(built: Built) -> None:
    client = marked(built)
    assert "erasure.upcoming_sessions" not in codes(order(built, client))
    desk, paula = built.api(Role.FRONT_DESK), built.practitioners[Credential.PHYSICAL_THERAPIST]
    start = clock.now().replace(hour=15, minute=0, second=0, microsecond=0) + timedelta(days=2)
    booking = {
        "client_id": client,
        "practitioner_id": str(paula.pk),
        "facility_id": str(built.east.pk),
        "starts_at": start.isoformat(),
        "minutes": 60,
    }
    ok(desk.post("sessions", booking, key="ahead"), 201)
    shown = ok(built.api(Role.OWNER).get(f"clients/{client}/erasure"))
    assert "erasure.upcoming_sessions" in codes(shown)
    assert hooks.count_upcoming_sessions(paula.pk) == hooks.count_upcoming_sessions() == 1


def codes(shown: dict[str, Any]) -> set[str]:
    return {one["code"] for one in shown["warnings"]}


def test_each_act_keeps_its_own_person_and_time(built: Built) -> None:
    client, owner, hands = marked(built), built.api(Role.OWNER), built.api(Role.PRACTITIONER)
    path = f"clients/{client}/erasure"
    ordered = order(built, client)
    with clock.at(clock.now() + timedelta(hours=1)):
        agreed = ok(hands.post(f"{path}/approval"))
    with clock.at(clock.now() + timedelta(hours=2)):
        run_due_jobs()
    gone = ok(owner.get(path))
    for name in ("ordered_by", "ordered_at", "before_retention", "retained_until"):
        assert gone[name] == agreed[name] == ordered[name], name
    assert gone["ordered_by"] == str(built.staff[Role.OWNER].pk)
    assert gone["approved_by"] == str(built.staff[Role.PRACTITIONER].pk)
    assert gone["ordered_at"] < gone["approved_at"] < gone["key_destroyed_at"]
    assert (ordered["reason"] or "").startswith("the client asked")
    assert gone["reason"] is None  # free text does not survive


def test_the_owner_is_told_that_a_record_was_erased(built: Built) -> None:
    client, owner = marked(built), built.api(Role.OWNER)
    erase(built, client)
    for part in ("", "/history"):
        refused(owner.get(f"clients/{client}{part}"), 410, "record_erased")
        refused(built.api(Role.PRACTITIONER).get(f"clients/{client}{part}"), 404, "not_found")
    refused(owner.get(f"clients/{NOBODY_KNOWS}/history"), 404, "not_found")
