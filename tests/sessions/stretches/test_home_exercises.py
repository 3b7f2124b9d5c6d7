"""Home exercises: their own permission, taken back when the verdict narrows."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

from clients.health.domain.content import BodySite, Condition
from clients.health.domain.terms import ConditionKind
from clients.orders.domain.events import OrderFiled
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, Prescriber
from practice.audit import rebuild
from practice.clock import clock
from practice.core.terms import Mode, Region, Role, Side
from sessions.stretches.models import HomeExercise
from tests.builders import Built, ok, refused
from tests.sessions.people import open_client, reviewed, tell
from tests.sessions.stretches.stories import STRETCH


def exercise(**changes: Any) -> dict[str, Any]:
    return {
        "stretch": STRETCH,
        "side": "right",
        "dose": {"technique": "active_isolated", "repetitions": 10, "hold_seconds": 2},
        "stop_signs": ["sharp pain"],
        "assigned_on": (clock.now() - timedelta(days=2)).date().isoformat(),
        **changes,
    }


def teach(built: Built, client_id: UUID, **changes: Any) -> Any:
    api = built.api(Role.PRACTITIONER)
    return ok(api.post(f"clients/{client_id}/home-exercises", exercise(**changes)), 201)


def test_it_is_taught_with_its_version_and_taken_back_by_a_person(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    made = teach(built, client_id)
    assert made["catalogue_version"] == 1
    path = f"clients/{client_id}/home-exercises/{made['id']}/discontinuation"
    assert ok(api.post(path, {"reason": "new swelling"}))["discontinued_reason"] == "new swelling"


def test_its_sheet_says_how_much_when_to_stop_and_its_version(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    made = teach(built, client_id, stop_signs=["sharp pain", "<b>tingling</b>"])
    path = f"clients/{client_id}/home-exercises/{made['id']}"
    page = api.get(f"{path}/printout")
    text = page.content.decode()
    assert (page.status_code, page["Content-Type"]) == (200, "text/html; charset=utf-8")
    for said in ("10 repetitions, held 2 seconds", "sharp pain", "version 1", made["name"]):
        assert said in text
    assert "&lt;b&gt;tingling" in text, "what people write is escaped"
    ok(api.post(f"{path}/discontinuation", {"reason": "new swelling"}))
    assert "do not do it any more" in api.get(f"{path}/printout").content.decode()
    other = open_client(built)
    gone = api.get(f"clients/{other}/home-exercises/{made['id']}/printout")
    refused(gone, 404, "not_found")


def not_today(*sites: BodySite) -> OrderFiled:
    """A restriction that leaves nothing at some sites."""
    order = MedicalOrder(
        id=uuid4(),
        kind=OrderKind.RESTRICTION,
        prescriber=Prescriber.SURGEON,
        prescriber_name="The surgeon",
        given_on=clock.now().date() - timedelta(days=1),
        sites=sites,
        widest_mode=Mode.NOT_TODAY,
    )
    return OrderFiled(order=order)


RIGHT_SHOULDER = BodySite(region=Region.SHOULDER, side=Side.RIGHT)


def test_a_fact_that_narrows_takes_it_back_in_the_same_transaction(built: Built) -> None:
    client_id = open_client(built)
    right = teach(built, client_id)["id"]
    left = teach(built, client_id, side="left")["id"]
    tell(built, client_id, not_today(RIGHT_SHOULDER))
    rows = {str(one.pk): one for one in HomeExercise.objects.filter(client_id=client_id)}
    assert rows[right].discontinued_at is not None
    assert rows[right].discontinued_reason
    assert rows[left].discontinued_at is None
    assert rebuild.compare().differences == []


def test_a_fact_that_does_not_reach_it_leaves_it(built: Built) -> None:
    client_id = open_client(built)
    teach(built, client_id)
    cording = Condition(id=uuid4(), kind=ConditionKind.CORDING, sites=(RIGHT_SHOULDER,))
    tell(built, client_id, reviewed(conditions=(cording,)))
    assert HomeExercise.objects.get(client_id=client_id).discontinued_at is None


def test_what_may_not_be_done_at_all_is_not_assigned(built: Built) -> None:
    client_id = open_client(built)
    tell(built, client_id, not_today(RIGHT_SHOULDER))
    api = built.api(Role.PRACTITIONER)
    problem = refused(
        api.post(f"clients/{client_id}/home-exercises", exercise()), 409, "not_permitted"
    )
    assert problem["reasons"][0]["source"]


def test_an_unusual_dose_is_taken_with_a_warning_that_says_what_is_usual(built: Built) -> None:
    client_id = open_client(built)
    assert teach(built, client_id)["warnings"] == []
    dose = {"technique": "active_isolated", "repetitions": 30, "hold_seconds": 2}
    (warning,) = teach(built, client_id, dose=dose)["warnings"]
    assert warning["code"] == "dose_outside_usual"
    assert "usual is 10 to 12" in warning["text"]
