"""Treatment goals and home exercise: what may be recorded, and where each then stands."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.core.reasons import Rejected
from sessions.goals.domain import commands, decisions, events
from sessions.goals.domain.decisions import OnRecord
from sessions.goals.domain.events import GoalContent
from sessions.goals.domain.state import TREATMENT_GOALS
from sessions.goals.domain.terms import Followed, GoalStatus, ReviewOutcome
from tests.dsl import context, given

GOAL, FIRST, SECOND, EXERCISE, REPORT = (UUID(int=number) for number in range(70, 75))
MEASURED, SESSION, UNKNOWN = UUID(int=80), UUID(int=81), UUID(int=82)
TODAY = date(2026, 3, 2)
KNOWN = OnRecord(
    today=TODAY,
    measured_goals={MEASURED},
    sessions={SESSION},
    birth_date=date(1971, 4, 23),
)
SHELF = GoalContent(text="reaches the upper shelf", words="my own dishes")
LOWER = GoalContent(text="reaches the middle shelf")
AGREED = events.TreatmentGoalSet(
    treatment_goal_id=GOAL, number=1, content=SHELF, set_on=date(2026, 2, 2)
)
WHY = commands.InError(reason="why")


def review(outcome: ReviewOutcome, review_id: UUID = FIRST, **more: Any) -> Any:
    return events.TreatmentGoalReviewed(
        treatment_goal_id=GOAL,
        review_id=review_id,
        outcome=outcome,
        reviewed_on=date(2026, 2, 20),
        **more,
    )


CHANGED = review(ReviewOutcome.CHANGED, content=LOWER, reason="too high")
MET = review(ReviewOutcome.MET, SECOND)
BACK = events.TreatmentGoalReviewInError(treatment_goal_id=GOAL, review_id=SECOND, reason="no")
NONE = events.TreatmentGoalEnteredInError(treatment_goal_id=GOAL, reason="no")


def state(*told: Any) -> Any:
    return given(TREATMENT_GOALS, *told).state


def reviewed(*told: Any, **said: Any) -> Any:
    goal = state(AGREED, *told).goal(GOAL)
    (made,) = decisions.review_goal(goal, commands.ReviewGoal(**said), KNOWN, context())
    return made


def refused(act: Any) -> tuple[str, list[str]]:
    with pytest.raises(Rejected) as found:
        act()
    return found.value.code, list(found.value.fields or {})


def test_numbers_count_on_and_none_is_given_again() -> None:
    command = commands.SetGoal(text="x")
    numbers = [
        decisions.set_goal(state(*told), command, KNOWN, context())[0].number  # type: ignore[union-attr]
        for told in ((), (AGREED,), (AGREED, NONE))
    ]
    assert numbers == [1, 2, 2]


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"set_on": TODAY + timedelta(days=1)}, "set_on"),
        ({"set_on": date(1971, 4, 22)}, "set_on"),
        ({"target_on": TODAY - timedelta(days=1)}, "target_on"),
        ({"measured_by": (MEASURED, UNKNOWN)}, "measured_by"),
    ],
)
def test_a_goal_that_cannot_be_is_refused_by_its_field(said: Any, field: str) -> None:
    command = commands.SetGoal(text="x", **said)
    found = refused(lambda: decisions.set_goal(state(), command, KNOWN, context()))
    assert found == ("invalid", [field])
    fine = commands.SetGoal(text="x", set_on=TODAY, target_on=TODAY, measured_by=(MEASURED,))
    assert decisions.set_goal(state(), fine, KNOWN, context())


@pytest.mark.parametrize(
    ("told", "status", "content"),
    [
        ((), GoalStatus.OPEN, SHELF),
        ((review(ReviewOutcome.NOT_MET),), GoalStatus.OPEN, SHELF),
        ((CHANGED,), GoalStatus.OPEN, LOWER),
        ((CHANGED, MET), GoalStatus.MET, LOWER),
        ((CHANGED, MET, BACK), GoalStatus.OPEN, LOWER),
        ((review(ReviewOutcome.GIVEN_UP),), GoalStatus.GIVEN_UP, SHELF),
        ((CHANGED, NONE), GoalStatus.IN_ERROR, LOWER),
    ],
)
def test_where_a_goal_stands_and_what_it_is(
    told: tuple[Any, ...], status: GoalStatus, content: GoalContent
) -> None:
    goal = state(AGREED, *told).goal(GOAL)
    assert (goal.status, goal.content) == (status, content)
    assert (goal.id, goal.number, goal.first) == (GOAL, 1, SHELF), "the same for ever"


def test_all_but_met_need_the_reason() -> None:
    for outcome in (ReviewOutcome.NOT_MET, ReviewOutcome.GIVEN_UP):
        assert refused(lambda one=outcome: reviewed(outcome=one)) == ("invalid", ["reason"])
    assert reviewed(outcome=ReviewOutcome.MET).outcome is ReviewOutcome.MET


def test_changed_says_the_goal_anew_and_nothing_else_does() -> None:
    changed = ReviewOutcome.CHANGED
    assert reviewed(outcome=changed, reason="r", changed_to=LOWER).content == LOWER
    for said in (
        {"outcome": changed, "reason": "r"},
        {"outcome": ReviewOutcome.MET, "changed_to": LOWER},
    ):
        assert refused(lambda one=said: reviewed(**one)) == ("invalid", ["changed_to"])
    same = {"outcome": changed, "reason": "r", "changed_to": SHELF}
    assert refused(lambda: reviewed(**same))[0] == "nothing_changed"
    unknown = GoalContent(text="y", measured_by=(UNKNOWN,))
    wrong = {"outcome": changed, "reason": "r", "changed_to": unknown}
    assert refused(lambda: reviewed(**wrong)) == ("invalid", ["changed_to.measured_by"])


def test_a_review_is_of_an_open_goal_after_the_last_one_and_of_a_session_of_the_client() -> None:
    met = {"outcome": ReviewOutcome.MET}
    for told in ((MET,), (NONE,)):
        assert refused(lambda one=told: reviewed(*one, **met))[0] == "goal_not_open"
    before = {"reviewed_on": date(2026, 2, 19)}
    assert refused(lambda: reviewed(CHANGED, **met, **before)) == ("invalid", ["reviewed_on"])
    assert reviewed(CHANGED, **met, reviewed_on=date(2026, 2, 20))
    late = {"reviewed_on": TODAY + timedelta(days=1)}
    assert refused(lambda: reviewed(**met, **late)) == ("invalid", ["reviewed_on"])
    assert refused(lambda: reviewed(**met, session_id=UNKNOWN)) == ("invalid", ["session_id"])
    assert reviewed(**met, session_id=SESSION).session_id == SESSION


def test_the_last_review_alone_is_taken_back_and_once() -> None:
    def back(review_id: UUID, *told: Any) -> Any:
        command = commands.TakeReviewBack(review_id=review_id, reason="no")
        return decisions.take_review_back(state(AGREED, *told).goal(GOAL), command)

    assert refused(lambda: back(FIRST, CHANGED, MET))[0] == "later_review"
    assert back(SECOND, CHANGED, MET) == [BACK]
    assert refused(lambda: back(SECOND, CHANGED, MET, BACK))[0] == "review_in_error_already"
    assert back(FIRST, CHANGED, MET, BACK)
    assert refused(lambda: back(FIRST, CHANGED, NONE))[0] == "goal_in_error"
    goal = state(AGREED, NONE).goal(GOAL)
    assert refused(lambda: decisions.enter_goal_in_error(goal, WHY))[0] == "goal_in_error"


SAID = events.HomeExerciseFollowed(
    report_id=REPORT,
    home_exercise_id=EXERCISE,
    from_day=date(2026, 2, 16),
    to_day=date(2026, 2, 22),
    followed=Followed.PARTLY,
)
SAID_BACK = events.HomeExerciseReportInError(report_id=REPORT, reason="no")


def report(*told: Any, **said: Any) -> Any:
    command = commands.ReportHomeExercise(**{"followed": Followed.PARTLY, **said})
    (made,) = decisions.report_home_exercise(
        state(*told), EXERCISE, command, date(2026, 2, 16), KNOWN, context()
    )
    return made


def test_days_go_on_from_the_last_report_or_the_assignment_until_today() -> None:
    assert (report().from_day, report().to_day) == (date(2026, 2, 16), TODAY)
    assert report(SAID).from_day == date(2026, 2, 23)
    assert report(SAID, SAID_BACK).from_day == date(2026, 2, 16)


def test_no_day_is_reported_twice_before_its_assignment_or_ahead() -> None:
    one = date(2026, 2, 22)
    assert refused(lambda: report(SAID, from_day=one))[0] == "days_reported"
    assert refused(lambda: report(SAID, from_day=SAID.from_day, to_day=SAID.from_day))[0] == (
        "days_reported"
    )
    assert report(SAID, from_day=one + timedelta(days=1))
    before = date(2026, 2, 15)
    assert refused(lambda: report(from_day=before)) == ("invalid", ["from_day"])
    late = TODAY + timedelta(days=1)
    assert refused(lambda: report(to_day=late)) == ("invalid", ["to_day"])
    assert refused(lambda: report(from_day=TODAY, to_day=one)) == ("invalid", ["to_day"])
    assert refused(lambda: report(session_id=UNKNOWN)) == ("invalid", ["session_id"])


@pytest.mark.parametrize(
    ("followed", "times", "fits"),
    [
        (Followed.NOT_DONE, 0, True),
        (Followed.NOT_DONE, None, True),
        (Followed.NOT_DONE, 1, False),
        (Followed.PARTLY, 0, False),
        (Followed.PARTLY, 1, True),
        (Followed.AS_ASSIGNED, None, True),
    ],
)
def test_the_number_fits_the_answer(followed: Followed, times: int | None, fits: bool) -> None:
    if fits:
        assert report(followed=followed, times=times).times == times
    else:
        found = refused(lambda: report(followed=followed, times=times))
        assert found == ("invalid", ["times"])


def test_a_report_is_taken_back_once() -> None:
    assert decisions.enter_report_in_error(state(SAID), REPORT, WHY)
    again = state(SAID, SAID_BACK)
    found = refused(lambda: decisions.enter_report_in_error(again, REPORT, WHY))
    assert found[0] == "report_in_error_already"
    assert refused(lambda: decisions.enter_report_in_error(state(), REPORT, WHY))[0] == "not_found"
