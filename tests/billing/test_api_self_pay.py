"""Who pays for themself, over HTTP: stated with day and reason; booking and lists obey it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from billing.payers.models import Payer
from practice.audit.rebuild import compare, rebuild
from practice.clock import clock
from practice.core.terms import Credential
from tests.billing.test_api_sessions import authorize, codes
from tests.billing.test_api_summaries import erase
from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused
from tests.sessions.booking.http import book, key, local

pytestmark = pytest.mark.django_db

OF_BILLING = {
    "no_authorization",
    "authorization_outside_period",
    "credential_not_paid",
    "practitioner_not_authorized",
    "work_not_paid",
    "work_partly_paid",
}


@pytest.fixture
def world(db: None) -> World:
    return World()


def path(world: World) -> str:
    return f"clients/{world.client_id}/self-pay"


def state(world: World, starts_on: str, **changes: Any) -> dict[str, Any]:
    body = {"starts_on": starts_on, "reason": "said so on the phone", **changes}
    stated: dict[str, Any] = ok(world.desk.post(path(world), body), 201)
    return stated


def told(session: dict[str, Any]) -> set[str]:
    return codes(session) & OF_BILLING


def test_a_booking_without_any_authorization_is_warned_unless_the_client_pays(
    world: World,
) -> None:
    assert told(book(world.built, world.client_id, local(2))) == {"no_authorization"}
    state(world, (clock.now().date() - timedelta(days=30)).isoformat())
    assert told(book(world.built, world.client_id, local(3))) == set()


def test_in_a_practice_without_payers_everyone_pays(world: World) -> None:
    Payer.objects.update(is_active=False)
    assert told(book(world.built, world.client_id, local(2))) == set()


def test_booking_and_moving_warn_of_a_credential_that_the_payer_does_not_pay(
    world: World,
) -> None:
    authorize(world)
    massage = str(world.built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    booked = book(world.built, world.client_id, local(2))
    assert told(booked) == set()
    move = {"practitioner_id": massage, "reason": "asked for it"}
    moved = ok(world.desk.post(f"sessions/{booked['id']}/move", move, key=key()))
    assert told(moved) == {"credential_not_paid"}
    other = book(world.built, world.client_id, local(4), practitioner_id=massage)
    assert told(other) == {"credential_not_paid"}
    state(world, (clock.now().date() - timedelta(days=30)).isoformat())
    assert told(book(world.built, world.client_id, local(6), practitioner_id=massage)) == set()


def test_open_times_are_offered_with_what_a_booking_would_be_warned_of(world: World) -> None:
    """As the booking says it then, by the same queries however many are offered."""
    authorize(world, starts_on=clock.now().date().isoformat(), ends_on=local(3)[:10])
    asked = {
        "client_id": str(world.client_id),
        "facility_id": str(world.built.east.pk),
        "from": local(3)[:10],
        "to": local(4)[:10],
        "minutes": "60",
        "page_size": "100",
    }
    who = {
        credential: str(world.built.practitioners[credential].pk)
        for credential in (Credential.PHYSICAL_THERAPIST, Credential.MASSAGE_THERAPIST)
    }
    counts = []
    for limit in ("1", "100"):
        therapist = {"practitioner_id": who[Credential.PHYSICAL_THERAPIST], "page_size": limit}
        with CaptureQueriesContext(connection) as caught:
            ok(world.desk.get("open-times", {**asked, "to": asked["from"], **therapist}))
        counts.append(len([one for one in caught if "billing_" in one["sql"]]))
    assert counts[0] == counts[1]

    def offered(credential: Credential, day: str) -> set[str]:
        of_day = {**asked, "from": day, "to": day, "practitioner_id": who[credential]}
        answer = ok(world.desk.get("open-times", of_day))
        (numbers,) = {tuple(offer.get("warnings", [])) for offer in answer["results"]}
        found = {answer["reason_texts"][str(number)]["code"] for number in numbers}
        return set(found) & OF_BILLING

    massage, day = Credential.MASSAGE_THERAPIST, local(3)[:10]
    assert offered(Credential.PHYSICAL_THERAPIST, day) == set()
    assert offered(massage, day) == {"credential_not_paid"}
    assert offered(massage, local(4)[:10]) == {"authorization_outside_period"}
    booked = book(world.built, world.client_id, local(3), practitioner_id=who[massage])
    assert told(booked) == {"credential_not_paid"}


def test_only_what_is_covered_is_offered_where_that_is_asked(world: World) -> None:
    """By the authorization's period, by what is left of it after what is booked, and by whom the
    payer pays; never against a client who pays for themself."""
    authorize(world, visits=1, ends_on=local(5)[:10])
    massage = str(world.built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    asked = {
        "client_id": str(world.client_id),
        "facility_id": str(world.built.east.pk),
        "from": local(2)[:10],
        "to": local(8)[:10],
        "minutes": "60",
        "page_size": "200",
    }

    def covered() -> tuple[set[str], set[tuple[str, str]]]:
        answer = ok(world.desk.get("open-times", {**asked, "covered": "true"}))
        why = {(one["practitioner_name"], one["reasons"][0]["code"]) for one in answer["excluded"]}
        assert massage not in {one["practitioner_id"] for one in answer["results"]}
        return {one["starts_at"][:10] for one in answer["results"]}, why

    days, why = covered()
    assert max(days) == local(5)[:10]
    assert {("Marco", "credential_not_paid"), ("Paula", "authorization_outside_period")} <= why
    booked = book(world.built, world.client_id, local(3))
    days, why = covered()
    assert days == {local(3)[:10]}
    assert ("Paula", "authorization_used_up") in why
    ok(
        world.desk.post(
            f"sessions/{booked['id']}/cancellation", {"by": "practice", "reason": "test"}
        )
    )
    state(world, clock.now().date().isoformat())
    free = ok(world.desk.get("open-times", {**asked, "covered": "true"}))
    assert massage in {one["practitioner_id"] for one in free["results"]}
    assert free["excluded"] == []


def test_booking_warns_of_kinds_of_work_that_the_authorization_does_not_name(
    world: World,
) -> None:
    authorize(world, lines=[{"code": "STR15", "units": 20}])
    assert told(book(world.built, world.client_id, local(2))) == {"work_partly_paid"}


def test_self_payers_stay_out_of_the_list_of_what_is_not_covered(world: World) -> None:
    for number in range(3):
        world.sign(number)
    assert state(world, "2026-03-03")["self_paying"] is True
    assert state(world, "2026-03-04", self_paying=False)["self_paying"] is False
    days = {"2026-03-02": False, "2026-03-03": True, "2026-03-04": False}
    assert {one["local_date"]: one["self_paying"] for one in world.visits()} == days

    def found(**query: Any) -> list[str]:
        return sorted(one["local_date"] for one in world.visits(**query))

    others = ["2026-03-02", "2026-03-04"]
    assert found(covered="not_covered") == found(reason="no_authorization") == others
    assert found(covered="not_covered", self_paying="true") == ["2026-03-03"]
    assert found(covered="not_covered", self_paying="false") == others
    assert found(self_paying="true") == ["2026-03-03"]


def test_what_an_authorization_covers_stays_covered_for_a_self_payer(world: World) -> None:
    world.authorize()
    world.sign(0)
    state(world, "2026-03-01")
    (visit,) = world.visits(covered="covered")
    assert (visit["self_paying"], visit["used_units"]) == (True, {"STR15": 2})


def test_a_statement_of_one_day_replaces_the_one_before_it(world: World) -> None:
    shown = state(world, "2026-03-01")
    assert shown["self_paying"] is True
    refused(
        world.desk.post(path(world), {"starts_on": "2026-03-01", "reason": "again"}),
        409,
        "already_stated",
    )
    shown = state(world, "2026-03-01", self_paying=False, reason="a slip")
    assert shown["self_paying"] is False
    (one,) = shown["statements"]
    assert (one["starts_on"], one["self_paying"], one["reason"]) == ("2026-03-01", False, "a slip")
    assert ok(world.paula.get(path(world))) == shown
    assert compare().differences == []
    rebuild()
    assert ok(world.billing.get(path(world))) == shown


def test_who_states_it_a_day_and_a_reason(world: World) -> None:
    body = {"starts_on": "2026-03-01", "reason": "said so"}
    refused(world.paula.post(path(world), body), 403, "forbidden")
    for name in body:
        sent = {key: value for key, value in body.items() if key != name}
        problem = refused(world.billing.post(path(world), sent), 400, "invalid")
        assert problem["errors"][0]["field"] == name
    assert ok(world.billing.post(path(world), body), 201)["self_paying"] is True
    refused(world.desk.post(f"clients/{NOBODY_KNOWS}/self-pay", body), 404, "not_found")


def test_the_days_survive_an_erasure_and_the_reason_does_not(world: World) -> None:
    world.sign(0)
    state(world, "2026-03-01")
    erase(world)
    (visit,) = world.visits()
    assert (visit["self_paying"], world.visits(covered="not_covered")) == (True, [])
    assert compare().differences == []
