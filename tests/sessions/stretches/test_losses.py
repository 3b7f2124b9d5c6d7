"""Ruling 54: range lost against discharge outside a re-check asks, and resumes nothing."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.core.terms import MotionType, Role
from sessions.stretches.domain.follow_up import last_discharges, losses_since_discharge
from sessions.stretches.domain.prescription_state import StretchStatus
from tests.builders import Built, ok
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client
from tests.sessions.shipped import MEASUREMENT
from tests.sessions.stretches.examples import Story
from tests.sessions.stretches.rechecks import DAY, TWO_MONTHS
from tests.sessions.stretches.stories import days_ago, discharged, measure

BETWEEN = DAY + timedelta(days=20)


def losses(story: Story) -> list[int]:
    found = losses_since_discharge(story.programme, story.motion, MEASUREMENT)
    return [one.change for one in found]


@pytest.mark.parametrize(("degrees", "lost"), [(171, [-9]), (172, [])])
def test_a_loss_counts_from_the_measurement_error_on_and_resumes_nothing(degrees, lost):
    story = Story()
    key = story.discharged(DAY)
    assert story.measure(BETWEEN, degrees) == []
    assert losses(story) == lost
    assert story.programme.prescriptions[key].status is StretchStatus.DISCHARGED


def test_only_an_active_unassisted_reading_like_it_after_the_discharge_shows_a_loss():
    story = Story()
    story.discharged(DAY)
    story.measure(BETWEEN, 120, motion=MotionType.PASSIVE)
    story.measure(BETWEEN, 120, assisted=True)
    story.measure(DAY, 120, hour=17)
    assert losses(story) == []


def test_the_latest_reading_says_whether_it_is_lost_still():
    story = Story()
    story.discharged(DAY)
    story.measure(BETWEEN, 160)
    story.measure(BETWEEN + timedelta(days=1), 178)
    assert losses(story) == []


def test_a_loss_at_a_re_check_brought_the_stretch_back_and_asks_no_more():
    story = Story()
    story.discharged(DAY)
    story.measure(TWO_MONTHS, 160)
    assert losses(story) == []
    (discharge,) = last_discharges(story.programme)
    losing = story.motion.readings[-1].occurred_at
    assert discharge.stood_at(losing)
    assert not discharge.stood_at(losing + timedelta(seconds=1))
    assert not discharge.stood_at(discharge.occurred_at - timedelta(seconds=1))


def _compared(answer: Any) -> list[tuple[str, int]]:
    return [(one["against"], one["change"]) for one in answer["reading"]["comparisons"]]


def test_a_loss_between_re_checks_prompts_and_stands_on_the_plan(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    stretch = discharged(built, client_id, days=20)
    answer = measure(api, client_id, 165)
    assert answer["rechecks"] == []
    assert "loss_since_discharge" in {one["code"] for one in answer["warnings"]}
    (row,) = ok(api.get(f"clients/{client_id}/stretches"))["results"]
    assert row["status"] == "discharged"
    session = book(built, client_id, local(2))
    (lost,) = ok(api.get(f"sessions/{session['id']}/plan", {"form": "long"}))["losses"]
    assert (lost["prescription_id"], lost["change"]) == (stretch["id"], -15)
    assert lost["prompt"]["code"] == "loss_since_discharge"
    measure(api, client_id, 180)
    assert ok(api.get(f"sessions/{session['id']}/plan", {"form": "long"}))["losses"] == []


def test_the_losing_reading_shows_its_comparison_with_the_discharge(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id)
    answer = measure(api, client_id, 165, occurred_at=days_ago(2))
    assert [one["outcome"] for one in answer["rechecks"]] == ["regressed"]
    assert ("discharge", -15) in _compared(answer)
    later = measure(api, client_id, 166)
    assert "discharge" not in dict(_compared(later))
    rows = ok(api.get(f"clients/{client_id}/range-of-motion"))["results"]
    listed = {one["id"]: one["comparisons"] for one in rows}
    assert "discharge" in {one["against"] for one in listed[answer["reading"]["id"]]}
    assert "discharge" not in {one["against"] for one in listed[later["reading"]["id"]]}
