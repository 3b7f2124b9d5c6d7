"""Who is called for a re-check, what carries it, and skipping it."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from sessions.stretches.domain.call_list import UpcomingSession, decide_call_listing, decide_skip
from sessions.stretches.domain.decisions import decide_end
from sessions.stretches.domain.events import (
    RecheckCoveredBySession,
    RecheckPutOnCallList,
    ReminderChannel,
)
from tests.sessions.shipped import RECHECKS
from tests.sessions.stretches.examples import Story, at
from tests.sessions.stretches.rechecks import (
    DAY,
    SIX_MONTHS,
    TWELVE_MONTHS,
    TWO_MONTHS,
    kinds,
    opens,
)


def call(story, recheck_id, now, *upcoming):
    return decide_call_listing(
        story.programme, recheck_id, upcoming, RECHECKS, ReminderChannel.MAIL, story.context(now)
    )


def session(day, number=1, hours=1):
    begin = at(day)
    return UpcomingSession(UUID(int=number), begin, begin + timedelta(hours=hours))


def first_recheck(story, key):
    return story.programme.open_rechecks(key)[0].planned


def test_a_re_check_coming_due_is_called_once():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    made = story.retain(call(story, one.recheck_id, one.call_at), one.call_at)
    assert kinds(made) == [RecheckPutOnCallList]
    assert call(story, one.recheck_id, one.call_at) == []
    assert opens(story, key)[0] == TWO_MONTHS  # called, and still to be done


def test_a_session_near_the_date_carries_the_check_and_nobody_is_called():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    near = session(TWO_MONTHS + timedelta(days=5))
    made = story.retain(call(story, one.recheck_id, one.call_at, near), one.call_at)
    assert kinds(made) == [RecheckCoveredBySession]
    assert made[0].next_review_at > near.ends_at
    assert call(story, one.recheck_id, one.call_at, near) == []


@pytest.mark.parametrize("days", [-15, 8])
def test_a_session_far_from_the_date_does_not_carry_it(days):
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    far = session(TWO_MONTHS + timedelta(days=days))
    now = one.call_at - timedelta(days=3)
    assert kinds(call(story, one.recheck_id, now, far)) == [RecheckPutOnCallList]


def test_a_carrying_session_that_measured_nothing_leaves_it_to_the_call_list():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    near = session(TWO_MONTHS)
    (carried,) = story.retain(call(story, one.recheck_id, one.call_at, near), one.call_at)
    assert kinds(call(story, one.recheck_id, carried.next_review_at, near)) == [
        RecheckPutOnCallList
    ]


def test_a_carrying_session_that_was_moved_carries_it_still():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    story.retain(call(story, one.recheck_id, one.call_at, session(TWO_MONTHS)), one.call_at)
    moved = session(TWO_MONTHS + timedelta(days=3))
    again = call(story, one.recheck_id, at(TWO_MONTHS, 23), moved)
    assert kinds(again) == [RecheckCoveredBySession]


def test_nobody_is_called_for_what_is_done_skipped_or_fallen_away():
    for what in ("maintained", "regressed", "ended", "skipped"):
        story = Story()
        key = story.discharged(DAY)
        one = first_recheck(story, key)
        when = one.call_at
        if what in ("maintained", "regressed"):
            story.measure(
                TWO_MONTHS - timedelta(days=14), 178 if what == "maintained" else 150, hour=12
            )
        elif what == "ended":
            story.retain(decide_end(story.programme, key, "left"), when)
        else:
            skipped = decide_skip(
                story.programme, one.recheck_id, "abroad", story.facts(), story.context(when)
            )
            story.retain(skipped, when)
        assert call(story, one.recheck_id, when) == [], what


def test_skipping_takes_a_reason_and_a_repeat_changes_nothing():
    story = Story()
    key = story.discharged(DAY)
    one = first_recheck(story, key)
    ctx = story.context(at(TWO_MONTHS))
    with pytest.raises(Rejected) as caught:
        decide_skip(story.programme, one.recheck_id, " ", story.facts(), ctx)
    assert "reason" in caught.value.fields
    story.retain(
        decide_skip(story.programme, one.recheck_id, "abroad", story.facts(), ctx), at(TWO_MONTHS)
    )
    assert decide_skip(story.programme, one.recheck_id, "abroad", story.facts(), ctx) == []
    assert opens(story, key) == [SIX_MONTHS, TWELVE_MONTHS]


def test_skipping_the_last_interval_plans_the_next_year():
    story = Story()
    key = story.discharged(DAY)
    story.measure(TWO_MONTHS, 178)
    story.measure(SIX_MONTHS, 178)
    one = first_recheck(story, key)
    (event,) = decide_skip(
        story.programme, one.recheck_id, "abroad", story.facts(), story.context(at(TWELVE_MONTHS))
    )
    assert event.planned_next.due_on == date(2028, 3, 2)


def test_a_re_check_that_is_done_cannot_be_skipped():
    story = Story()
    story.discharged(DAY)
    maintained = story.measure(TWO_MONTHS, 178)[0]
    with pytest.raises(Rejected) as caught:
        decide_skip(
            story.programme,
            maintained.recheck_id,
            "late",
            story.facts(),
            story.context(at(SIX_MONTHS)),
        )
    assert caught.value.code == "recheck_not_open"
