"""Home exercises: their own permission, taken back when the verdict narrows."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.health.domain.content import BodySite, Condition
from clients.health.domain.terms import ConditionKind
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged
from practice.audit import rebuild
from practice.clock import clock
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Region, Role, Side, Technique
from sessions.catalogue.domain.terms import Dose
from sessions.stretches.models import HomeExercise
from sessions.stretches.services.home_exercises import home_exercise_assign
from tests.builders import Built, ok, refused
from tests.sessions.people import doing, not_today, open_client, reviewed, tell
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
    for said in (
        "Do it 10 times. Hold each one for 2 seconds.",
        "sharp pain",
        "version 1",
        made["name"],
    ):
        assert said in text
    assert "&lt;b&gt;tingling" in text, "what people write is escaped"
    ok(api.post(f"{path}/discontinuation", {"reason": "new swelling"}))
    assert "do not do it any more" in api.get(f"{path}/printout").content.decode()
    other = open_client(built)
    gone = api.get(f"clients/{other}/home-exercises/{made['id']}/printout")
    refused(gone, 404, "not_found")


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


def test_without_a_facility_on_record_everything_but_law_still_speaks(built: Built) -> None:
    client_id = open_client(built)
    details = ClientDetails(given_name="Rosa", family_name="Marsh", zone="UTC")
    tell(built, client_id, ClientDetailsChanged(details=details))
    asked: dict[str, Any] = {
        "stretch": STRETCH,
        "side": Side.RIGHT,
        "dose": Dose(technique=Technique.ACTIVE_ISOLATED, repetitions=10, hold_seconds=2),
        "stop_signs": ("sharp pain",),
        "assigned_on": (clock.now() - timedelta(days=2)).date(),
        "assigned_by": built.practitioners[Credential.PHYSICAL_THERAPIST].pk,
    }

    def assign() -> None:
        doing(built, lambda uow: home_exercise_assign(uow, client_id=client_id, command=asked))

    assign()
    tell(built, client_id, not_today(RIGHT_SHOULDER))
    assert HomeExercise.objects.get(client_id=client_id).discontinued_at is not None
    with pytest.raises(Rejected) as caught:
        assign()
    assert caught.value.code == "not_permitted"


def test_an_unusual_dose_is_taken_with_a_warning_that_says_what_is_usual(built: Built) -> None:
    client_id = open_client(built)
    assert teach(built, client_id)["warnings"] == []
    dose = {"technique": "active_isolated", "repetitions": 30, "hold_seconds": 2}
    (warning,) = teach(built, client_id, dose=dose)["warnings"]
    assert warning["code"] == "dose_outside_usual"
    assert "usual is 10 to 12" in warning["text"]
