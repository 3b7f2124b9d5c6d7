"""Ruling 24: how near a supervisor must be is a row of jurisdiction, credential and payer."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Allowance, Credential, SupervisionLevel
from practice.law.models import JurisdictionLimit
from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused
from tests.sessions.people import consent, reviewed, tell

pytestmark = pytest.mark.django_db
MARCO, PAULA = Credential.MASSAGE_THERAPIST, Credential.PHYSICAL_THERAPIST
DAY = clock.now().date() + timedelta(days=3)


@pytest.fixture
def world(db: None) -> World:
    made = World()
    tell(made.built, made.client_id, consent(), reviewed())
    JurisdictionLimit.objects.filter(jurisdiction="US-CA", credential=MARCO).update(
        allowance=Allowance.UNDER_SUPERVISION, supervision=SupervisionLevel.GENERAL
    )
    people = made.built.practitioners
    named = {
        "supervisor_id": str(people[PAULA].pk),
        "supervised_id": str(people[MARCO].pk),
        "facility_id": str(made.built.west.pk),
        "day": DAY.isoformat(),
    }
    ok(made.owner.post("supervisions", named), 201)
    return made


def row(world: World, **changes: Any) -> dict[str, Any]:
    """The payer asks for direct supervision, whatever the law."""
    return {
        "jurisdiction": "US-CA",
        "credential": MARCO,
        "activity": "assisted_stretching",
        "allowance": "under_supervision",
        "supervision": "direct",
        "payer_id": str(world.payer.pk),
        "effective_from": "2020-01-01",
        "source": "the payer's manual, made up for tests",
        "verified_on": "2026-02-01",
        **changes,
    }


def lacks_supervisor(world: World, known_at: Any = None) -> bool:
    query = {
        "practitioner_id": str(world.built.practitioners[MARCO].pk),
        "facility_id": str(world.built.west.pk),
        "on": DAY.isoformat(),
    }
    if known_at is not None:
        query["known_at"] = known_at.isoformat()
    shown = ok(world.owner.get(f"clients/{world.client_id}/permissions", query | {"form": "long"}))
    found = {one["code"] for one in shown["reasons"]}
    assert ("law.supervision" in found) is (shown["planned"] != "hands_on")
    return "law.supervision" in found


def period(before: int, after: int) -> dict[str, Any]:
    return {
        "starts_on": (DAY - timedelta(days=before)).isoformat(),
        "ends_on": (DAY + timedelta(days=after)).isoformat(),
    }


def test_a_payers_row_narrows_for_its_clients_on_the_days_it_covers(world: World) -> None:
    """The supervisor can be reached and does not work there: general is met, direct is not."""
    ok(world.owner.post("jurisdiction-limits", row(world)), 201)
    assert not lacks_supervisor(world), "the client pays"
    world.authorize(**period(9, -1))
    assert not lacks_supervisor(world), "covered until the day before"
    world.authorize(number="PA-418", **period(0, 0))
    assert lacks_supervisor(world)


def test_a_general_row_of_the_payer_asks_for_no_more_than_the_law(world: World) -> None:
    ok(world.owner.post("jurisdiction-limits", row(world, supervision="general")), 201)
    world.authorize(**period(0, 9))
    assert not lacks_supervisor(world)


def test_who_paid_is_known_as_it_was_then_and_a_void_authorization_pays_nothing(
    world: World,
) -> None:
    """Rulings 55 and 60."""
    ok(world.owner.post("jurisdiction-limits", row(world)), 201)
    before = clock.now()
    made = world.authorize(**period(0, 9))
    between = clock.now()
    assert lacks_supervisor(world)
    reason = {"reason": "Entered for the wrong client."}
    ok(world.billing.post(f"authorizations/{made['id']}/voiding", reason))
    assert not lacks_supervisor(world)
    assert (lacks_supervisor(world, before), lacks_supervisor(world, between)) == (False, True)


def test_a_row_of_a_payer_that_is_not_on_record_is_refused(world: World) -> None:
    unknown = {"payer_id": str(NOBODY_KNOWS)}
    problem = refused(
        world.owner.post("jurisdiction-limits", row(world, **unknown)), 400, "invalid"
    )
    assert problem["errors"][0]["field"] == "payer_id"
    made = ok(world.owner.post("jurisdiction-limits", row(world)), 201)
    path = f"jurisdiction-limits/{made['id']}"
    refused(world.owner.patch(path, unknown, match=1), 400, "invalid")
    assert ok(world.owner.patch(path, {"payer_id": str(world.payer.pk)}, match=1))
