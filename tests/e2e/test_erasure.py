"""Erasure: a marker in every text field of a client's record, then not one trace of it."""

from __future__ import annotations

import gzip
import json
from typing import Any

import pytest
from django.apps import apps
from django.core import serializers

from practice.domain.terms import Credential, Role
from practice.due.services import run_due
from practice.eventlog import rebuild
from practice.eventlog.verify import verify_log
from practice.keys.keystore import keystore
from practice.keys.models import DataKey
from tests.builders import Built, account, build_practice, ok, refused

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
    told = ok(desk.post(f"clients/{client}/health-history", {**history, "told_by": CANARY}), 201)
    review = f"clients/{client}/health-history/review"
    ok(hands.post(review, {**history, "neck": "none"}, match=told["version"]))
    consent = {
        "regions": [{"region": "shoulder", "side": "both"}],
        "techniques": ["active_isolated"],
        "form": "spoken_with_witness",
        "language": "en",
        "obtained_by": CANARY,
        "witness": CANARY,
    }
    ok(desk.post(f"clients/{client}/touch-consent", consent), 201)
    order = {
        "kind": "leave",
        "giver": "surgeon",
        "given_by": CANARY,
        "given_on": "2026-02-01",
        "subjects": ["stretching"],
        "sites": [{"region": "shoulder", "side": "left"}],
        "text": CANARY,
    }
    ok(hands.post(f"clients/{client}/orders", order), 201)
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
                "starts_at": "2026-11-20T15:00:00Z",
                "minutes": 60,
                "happened": "came",
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


def erase(built: Built, client: str) -> None:
    owner, hands = built.api(Role.OWNER), built.api(Role.PRACTITIONER)
    ok(owner.post(f"clients/{client}/erasure", {"reason": "retention has passed"}))
    refused(owner.post(f"clients/{client}/erasure/agreement"), 409, "second_person_needed")
    ok(hands.post(f"clients/{client}/erasure/agreement"))
    run_due()


def test_not_one_trace_is_left_and_the_chain_still_verifies(built: Built) -> None:
    client = marked(built)
    assert CANARY in everything_stored()  # the test can see it where it is readable
    erase(built, client)
    assert CANARY not in everything_stored()
    assert ok(built.api(Role.OWNER).get(f"clients/{client}/erasure"))["state"] == "key_destroyed"
    assert verify_log().faults == []
    assert rebuild.check().differences == []


def test_a_backup_from_before_cannot_be_read_with_todays_keys(built: Built) -> None:
    client = marked(built)
    before = gzip.compress(backup().encode())
    erase(built, client)
    keystore.forget()
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
    from practice.eventlog.models import ReadTable

    return issubclass(model, ReadTable)


def test_with_two_owners_the_other_owner_must_agree(built: Built) -> None:
    account("second.owner", Role.OWNER)
    client = marked(built)
    ok(built.api(Role.OWNER).post(f"clients/{client}/erasure", {"reason": "asked for"}))
    hands = built.api(Role.PRACTITIONER)
    refused(hands.post(f"clients/{client}/erasure/agreement"), 409, "second_person_needed")


def test_an_order_can_be_taken_back_until_it_is_agreed(built: Built) -> None:
    client, owner = marked(built), built.api(Role.OWNER)
    ok(owner.post(f"clients/{client}/erasure", {"reason": "by mistake"}))
    assert ok(owner.delete(f"clients/{client}/erasure"))["state"] == "none"
    refused(
        built.api(Role.PRACTITIONER).post(f"clients/{client}/erasure/agreement"),
        409,
        "no_erasure_order",
    )


def test_nothing_is_added_to_an_erased_record(built: Built) -> None:
    client = marked(built)
    erase(built, client)
    desk = built.api(Role.FRONT_DESK)
    answer = desk.patch(f"clients/{client}", {"given_name": "Back"})
    assert answer.status_code in (404, 409)
    assert rebuild.check().differences == []
