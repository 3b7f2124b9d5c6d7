"""Ruling 54: what one reading does at a late re-check, and what one entered in error takes back."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from practice.audit import rebuild
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.events import (
    PostureEnteredInError,
    PostureRecorded,
    PostureSeverity,
    ReadingEnteredInError,
)
from sessions.stretches.domain.decisions import decide_end
from sessions.stretches.domain.events import (
    RecheckMaintained,
    RecheckRegressed,
    RecheckReopened,
    RecheckSkipped,
    StretchResumed,
)
from sessions.stretches.domain.prescription_state import RecheckStatus, StretchStatus
from tests.builders import Built, ok
from tests.sessions.people import open_client
from tests.sessions.stretches.examples import ANNA, Story, at
from tests.sessions.stretches.rechecks import (
    DAY,
    SIX_MONTHS,
    TWELVE_MONTHS,
    TWO_MONTHS,
    kinds,
    opens,
    statuses,
)
from tests.sessions.stretches.stories import discharged, first_open, measure

NEXT_DAY = TWO_MONTHS + timedelta(days=1)


def in_error(story: Story, day: date = NEXT_DAY) -> list[Any]:
    """The last reading is entered in error, and what follows of that."""
    reading = story.motion.readings[-1]
    taken = ReadingEnteredInError(reading_id=reading.reading_id, reason="typed wrongly")
    made = story.tell(taken, at(day))
    return made + [event for one in made for event in story.follow(one, at(day))]


# One reading, a late re-check and the next


def test_one_reading_does_a_late_re_check_and_the_next_at_most_fourteen_days_ahead():
    # Ruling 54.
    story = Story()
    key = story.discharged(DAY)
    events = story.measure(SIX_MONTHS - timedelta(days=14), 176)
    assert kinds(events) == [RecheckMaintained, RecheckMaintained]
    assert opens(story, key) == [TWELVE_MONTHS]


def test_the_next_that_is_fifteen_days_ahead_stays_open():
    story = Story()
    key = story.discharged(DAY)
    events = story.measure(SIX_MONTHS - timedelta(days=15), 176)
    assert kinds(events) == [RecheckMaintained]
    assert opens(story, key) == [SIX_MONTHS, TWELVE_MONTHS]


def test_between_a_late_one_and_the_next_ahead_what_had_passed_is_skipped():
    story = Story()
    key = story.discharged(DAY)
    events = story.measure(TWELVE_MONTHS - timedelta(days=10), 176)
    assert kinds(events) == [RecheckMaintained, RecheckMaintained, RecheckSkipped]
    assert events[1].planned_next.due_on > TWELVE_MONTHS
    assert opens(story, key) == [events[1].planned_next.due_on]


# Entered in error


def test_a_reading_in_error_that_held_a_re_check_opens_it_again():
    # Ruling 54.
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 178)
    assert kinds(in_error(story)) == [RecheckReopened]
    assert opens(story, key) == [TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS]


def test_a_reading_in_error_that_brought_a_stretch_back_undoes_it_and_later_re_checks_stand():
    # Ruling 54: one typing error at a re-check.
    story = Story()
    key = story.discharged(DAY)
    before = story.programme.prescriptions[key]
    assert kinds(story.measure(TWO_MONTHS, 118)) == [RecheckRegressed, StretchResumed]
    (event,) = in_error(story)
    assert event.discharge_stands_again
    assert event.active_since == before.active_since
    assert story.programme.prescriptions[key] == before
    assert opens(story, key) == [TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS]


def test_what_was_measured_since_answers_the_re_check_that_is_open_again():
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 181)  # holds it
    story.measure(TWO_MONTHS + timedelta(days=1), 118)  # a plain one: nothing is open then
    first = story.motion.readings[-2]
    taken = ReadingEnteredInError(reading_id=first.reading_id, reason="another client's")
    (event,) = story.tell(taken, at(NEXT_DAY, 20))
    assert kinds(story.follow(event, at(NEXT_DAY, 20))) == [RecheckRegressed, StretchResumed]
    assert story.programme.prescriptions[key].status is StretchStatus.ACTIVE


def test_intervals_that_a_wrong_late_reading_passed_are_open_again_and_what_it_planned_falls_away():
    story = Story()
    key = story.discharged(DAY)
    events = story.measure(TWELVE_MONTHS - timedelta(days=10), 176)
    (event,) = in_error(story, TWELVE_MONTHS)
    assert event.withdrawn == (events[1].planned_next.recheck_id,)
    assert opens(story, key) == [TWO_MONTHS, SIX_MONTHS, TWELVE_MONTHS]


def test_a_reading_in_error_that_decided_nothing_changes_nothing():
    story = Story()
    story.discharged(DAY)
    story.measure(TWO_MONTHS, 178)
    story.measure(TWO_MONTHS, 170, hour=20)
    assert in_error(story) == []


def test_what_a_person_decided_since_is_not_taken_back():
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 118)
    wrong = story.motion.readings[-1]
    story.measure(TWO_MONTHS + timedelta(days=7), 180)
    story.discharge(key, TWO_MONTHS + timedelta(days=7), hour=19)
    later = TWO_MONTHS + timedelta(days=8)
    taken = ReadingEnteredInError(reading_id=wrong.reading_id, reason="typed wrongly")
    assert story.tell(taken, at(later)) == []
    story.retain(decide_end(story.programme, key, "left"), at(later))
    assert story.tell(taken, at(later)) == []


def test_a_stretch_that_was_ended_since_stays_ended():
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 118)
    story.retain(decide_end(story.programme, key, "left"), at(NEXT_DAY))
    assert in_error(story, NEXT_DAY + timedelta(days=1)) == []


def test_a_posture_finding_in_error_takes_back_what_it_decided():
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
    key = story.discharged(DAY, findings=(PostureKind.FORWARD_HEAD,))
    assert kinds(look(TWO_MONTHS, PostureSeverity.MILD)) == [RecheckRegressed, StretchResumed]
    wrong = story.motion.findings[-1].found.finding_id
    made = story.tell(PostureEnteredInError(finding_id=wrong, reason="slip"), at(NEXT_DAY))
    assert kinds(made) == [RecheckReopened]
    assert opens(story, key)[0] == TWO_MONTHS
    assert RecheckStatus.REGRESSED not in statuses(story)


def test_a_typing_error_at_a_re_check_is_undone_over_http(built: Built) -> None:
    # Ruling 54: called once, lost by a typing error, taken back, held by the right reading.
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id)
    run_due_jobs()
    before = first_open(built, client_id)
    wrong = measure(api, client_id, 108)
    assert [one["outcome"] for one in wrong["rechecks"]] == ["regressed"]
    address = f"clients/{client_id}/range-of-motion/{wrong['reading']['id']}/entered-in-error"
    ok(api.post(address, {"reason": "typed 108 for 180"}))
    assert first_open(built, client_id) == before
    (stretch,) = ok(api.get(f"clients/{client_id}/stretches"))["results"]
    assert (stretch["status"], stretch["resumed"]) == ("discharged", 0)
    waiting = ScheduledJob.objects.filter(
        subject=client_id, kind="recheck", status=ScheduledJob.Status.WAITING
    )
    assert {one.occasion for one in waiting} == {f"reopened:{wrong['reading']['id']}"}
    assert waiting.count() == 3
    run_due_jobs()
    assert first_open(built, client_id) == before  # nobody is called twice
    assert [one["outcome"] for one in measure(api, client_id, 180)["rechecks"]] == ["maintained"]
    assert rebuild.compare().differences == []
