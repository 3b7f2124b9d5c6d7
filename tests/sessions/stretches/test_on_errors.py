"""Ruling 54: a discharge that rests on what was entered in error stands, is shown and prompts."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from practice.core.reasons import Reason
from practice.core.terms import Role
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import (
    PostureEnteredInError,
    PostureRecorded,
    PostureSeverity,
    ReadingEnteredInError,
)
from sessions.stretches.domain.decisions import decide_end, decide_resume
from sessions.stretches.domain.follow_up import discharges_on_errors, losses_since_discharge
from sessions.stretches.domain.state import StretchStatus
from tests.builders import Built, ok
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client
from tests.sessions.shipped import MEASUREMENT
from tests.sessions.stretches.examples import ANNA, Story, at
from tests.sessions.stretches.rechecks import DAY, SIX_MONTHS, TWO_MONTHS, opens
from tests.sessions.stretches.stories import discharged, measure

CODE = "discharge_rests_on_error"


def prompts(story: Story) -> list[Reason]:
    return discharges_on_errors(story.programme, story.motion)


def void_reference(story: Story) -> None:
    wrong = ReadingEnteredInError(
        reading_id=story.motion.readings[0].reading_id, reason="typed 108 as 180"
    )
    assert story.tell(wrong, at(DAY + timedelta(days=1))) == [], "nothing resumes by itself"


def test_the_stretch_stays_discharged_and_prompts():
    story = Story()
    key = story.discharged(DAY)
    assert prompts(story) == []
    void_reference(story)
    assert story.programme.prescriptions[key].status is StretchStatus.DISCHARGED
    (prompt,) = prompts(story)
    assert prompt.code == CODE
    assert "entered in error" in prompt.text
    assert DAY.isoformat() in prompt.text


def test_no_re_check_is_held_or_lost_against_a_reading_in_error():
    story = Story()
    key = story.discharged(DAY)
    void_reference(story)
    for day, degrees in ((TWO_MONTHS, 178), (SIX_MONTHS, 100)):
        assert story.measure(day, degrees) == []
    assert len(opens(story, key)) == 3
    assert losses_since_discharge(story.programme, story.motion, MEASUREMENT) == []


def test_a_loss_is_seen_where_the_reading_at_discharge_stands():
    story = Story()
    story.discharged(DAY)
    story.measure(DAY + timedelta(days=10), 118)
    assert len(losses_since_discharge(story.programme, story.motion, MEASUREMENT)) == 1
    void_reference(story)
    assert losses_since_discharge(story.programme, story.motion, MEASUREMENT) == []


def test_brought_back_it_prompts_no_more():
    story = Story()
    key = story.discharged(DAY)
    void_reference(story)
    day = DAY + timedelta(days=2)
    story.retain(
        decide_resume(story.programme, key, "looked again", story.context(at(day))), at(day)
    )
    assert prompts(story) == []


def test_ended_it_prompts_no_more():
    story = Story()
    key = story.discharged(DAY)
    void_reference(story)
    story.retain(decide_end(story.programme, key, "left"), at(DAY + timedelta(days=2)))
    assert prompts(story) == []


def test_a_posture_finding_in_error_prompts_too():
    story = Story()

    def look(day: date, severity: PostureSeverity) -> list[Any]:
        found = PostureRecorded(
            finding_id=story.new_id(),
            finding=PostureKind.FORWARD_HEAD,
            severity=severity,
            observer_id=ANNA,
        )
        return story.tell(found, at(day, 16))

    look(DAY - timedelta(days=31), PostureSeverity.NONE)
    story.discharged(DAY, findings=(PostureKind.FORWARD_HEAD,))
    wrong = story.motion.findings[0].found.finding_id
    assert story.tell(PostureEnteredInError(finding_id=wrong, reason="slip"), at(DAY, 23)) == []
    (prompt,) = prompts(story)
    assert "forward head" in prompt.text
    assert look(TWO_MONTHS, PostureSeverity.SEVERE) == [], "no comparison with it"


def test_pain_asked_at_a_reading_in_error_prompts_too():
    story = Story()
    key = story.prescribe(DAY - timedelta(days=30), eases_pain=True)
    story.start(key, DAY - timedelta(days=30))
    story.measure(DAY - timedelta(days=2), 180, pain=0)
    story.measure(DAY - timedelta(days=1), 180)
    story.discharge(key, DAY)
    void_reference(story)
    (prompt,) = prompts(story)
    assert "(pain 0)" in prompt.text
    assert story.measure(TWO_MONTHS, 180, pain=8) == [], "no comparison with it"


def codes_of(plan: dict[str, Any]) -> set[str]:
    """What the short plan warns of."""
    return {plan["reason_texts"][str(number)]["code"] for number in plan["warnings"]}


def test_plan_stretch_and_answer_prompt_over_http(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    made = discharged(built, client_id)
    session = book(built, client_id, local(2))
    plan = f"sessions/{session['id']}/plan"
    assert CODE not in codes_of(ok(api.get(plan)))
    (row,) = ok(api.get(f"clients/{client_id}/range-of-motion"))["results"]
    address = f"clients/{client_id}/range-of-motion/{row['id']}/entered-in-error"
    told = ok(api.post(address, {"reason": "typed 108 as 180"}))
    assert [one["code"] for one in told["warnings"]] == [CODE]
    assert CODE in codes_of(ok(api.get(plan)))
    (stretch,) = ok(api.get(f"clients/{client_id}/stretches"))["results"]
    assert (stretch["id"], stretch["status"]) == (made["id"], "discharged")
    assert [one["code"] for one in stretch["prompts"]] == [CODE]
    assert measure(api, client_id, 178)["rechecks"] == []
    spare = measure(api, client_id, 120)["reading"]["id"]
    again = f"clients/{client_id}/range-of-motion/{spare}/entered-in-error"
    assert [one["code"] for one in ok(api.post(again, {"reason": "x"}))["warnings"]] == [CODE]
