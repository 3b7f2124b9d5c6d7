"""Searches, repeats and writes that change nothing are logged reads too (ruling 62)."""

from __future__ import annotations

import json
from uuid import UUID

import pytest

from practice.accesslog.models import AccessEntry
from practice.core.reasons import GENERAL_CONSENT_REASON, Reason, readable_by
from practice.core.terms import Role
from practice.keys.keystore import keystore
from tests.builders import WEST, Built, facility, ok, refused
from tests.sessions.booking.http import body, local
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(built: Built) -> UUID:
    return open_client(built)


def reads(client: UUID | None, what: str) -> int:
    return AccessEntry.objects.filter(client_id=client, what__startswith=what).count()


def test_a_search_keeps_what_was_asked_sealed_with_the_key_of_who_was_found(
    built: Built, client: UUID
) -> None:
    ok(built.api(Role.FRONT_DESK).post("clients/search", {"name": "ros"}))
    entry = AccessEntry.objects.get(client_id=client, what="search of clients")
    assert b"ros" not in bytes(entry.asked or b"")
    shown = ok(built.api(Role.OWNER).get("access-log", {"client_id": str(client)}))["results"]
    (told,) = [one["asked"] for one in shown if one["asked"]]
    assert json.loads(told) == {"name": "ros"}
    keystore.destroy(client)
    shown = ok(built.api(Role.OWNER).get("access-log", {"client_id": str(client)}))["results"]
    assert [one["asked"] for one in shown if one["what"] == "search of clients"] == [None]


def test_a_search_that_finds_nobody_is_kept_too(built: Built, client: UUID) -> None:
    ok(built.api(Role.FRONT_DESK).post("clients/search", {"name": "zzz"}))
    (shown,) = [
        one
        for one in ok(built.api(Role.OWNER).get("access-log"))["results"]
        if one["what"] == "search of clients"
    ]
    assert shown["client_id"] is None
    assert json.loads(shown["asked"]) == {"name": "zzz"}


def test_a_repeat_is_a_read(built: Built, client: UUID) -> None:
    sent = body(built, client, local(3))
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post("sessions", sent, key="once"), 201)
    before = AccessEntry.objects.filter(client_id=client, outcome="read").count()
    ok(desk.post("sessions", sent, key="once"), 201)
    assert AccessEntry.objects.filter(client_id=client, outcome="read").count() == before + 1


def test_a_repeat_is_not_given_to_who_may_not_see_the_client_any_more(
    built: Built, client: UUID
) -> None:
    sent = body(built, client, local(3))
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post("sessions", sent, key="once"), 201)
    built.staff[Role.FRONT_DESK].facilities.set([built.west])
    refused(desk.post("sessions", sent, key="once"), 404, "not_found")


def test_a_repeat_is_not_given_in_another_role(built: Built, client: UUID) -> None:
    sent = body(built, client, local(3))
    staff = built.staff[Role.FRONT_DESK]
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post("sessions", sent, key="once"), 201)
    staff.role = Role.OWNER
    staff.save()
    refused(desk.post("sessions", sent, key="once"), 409, "idempotency_key_spent")


def test_a_write_that_changes_nothing_is_a_read_and_one_that_does_is_none(
    built: Built, client: UUID
) -> None:
    owner, what = built.api(Role.OWNER), "Take the order back"
    ok(owner.delete(f"clients/{client}/erasure"))
    assert reads(client, what) == 1
    ok(owner.post(f"clients/{client}/erasure", {"reason": "asked", "before_retention": True}))
    assert reads(client, "Order the erasure") == 0
    ok(owner.delete(f"clients/{client}/erasure"))
    assert reads(client, what) == 1


def test_a_practitioner_agrees_to_the_erasure_only_of_a_client_whom_they_see(
    built: Built, client: UUID
) -> None:
    elsewhere = open_client(built, facility("North", WEST))
    owner, hands = built.api(Role.OWNER), built.api(Role.PRACTITIONER)
    for one in (client, elsewhere):
        ok(owner.post(f"clients/{one}/erasure", {"reason": "asked", "before_retention": True}))
    refused(hands.get(f"clients/{elsewhere}/erasure"), 404, "not_found")
    refused(hands.post(f"clients/{elsewhere}/erasure/approval"), 404, "not_found")
    ok(hands.get(f"clients/{client}/erasure"))
    ok(hands.post(f"clients/{client}/erasure/approval"))


def test_billing_reads_of_consent_only_whether() -> None:
    told = [
        Reason(code="consent.region", text="Not the left shoulder.", source="x"),
        Reason(code="consent.expired", text="It ended.", source="x"),
        Reason(code="licence", text="No licence.", source="x"),
    ]
    assert readable_by(Role.BILLING, told) == [GENERAL_CONSENT_REASON, told[2]]
    assert readable_by(Role.FRONT_DESK, told) == told
