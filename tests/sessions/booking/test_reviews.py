"""What stands on arrival until somebody looked: signs, words, and who clears them (ruling 49)."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.terms import Limb, RedFlag
from practice.core.terms import Credential, Side
from sessions.assessment.domain.standing_signs import signs_raised, words_said
from sessions.booking.domain.reviews import (
    ClearRedFlag,
    Reviewer,
    ReviewWords,
    decide_clear_red_flag,
    decide_review_words,
)
from sessions.calendar.domain.events import ArrivalWordsReviewed, RedFlagCleared, SessionArrived
from sessions.calendar.domain.signs import merged_answers
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import (
    HandsOnToday,
    NewSwelling,
    ShoulderToday,
    SubmittedArrivalAnswers,
)
from tests.clients.permissions.given import settings
from tests.dsl import given
from tests.sessions.booking.examples import AHEAD, HANDS_ON, OTHER, SESSION, booked

RULES = settings()
PHYSIO = Reviewer(
    practitioner_id=UUID(int=112),
    credential=Credential.PHYSICAL_THERAPIST,
    client=ClientFacts(),
)
LEFT_LEG = NewSwelling(limb=Limb.LEG, side=Side.LEFT)
RIGHT_LEG = NewSwelling(limb=Limb.LEG, side=Side.RIGHT)
FULL = SubmittedArrivalAnswers(
    pain_now=3,
    feverish=True,
    swelling=(LEFT_LEG,),
    new_symptoms=(RedFlag.CHEST_PAIN,),
    other_symptoms="coughing blood",
    hands_on_today=HandsOnToday.NO,
    shoulders=(ShoulderToday(side=Side.LEFT, pinches=True, degrees=90),),
)


def came(*flags: RedFlag, words: str = "", **answers: Any) -> SessionArrived:
    return SessionArrived(
        session_id=SESSION,
        answers=SubmittedArrivalAnswers(**answers),
        red_flags=flags,
        words=words,
        permissions=HANDS_ON,
    )


def test_what_is_not_answered_keeps_its_earlier_answer() -> None:
    assert merged_answers(FULL, SubmittedArrivalAnswers()) == FULL
    assert merged_answers(None, FULL) == FULL


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("pain_now", 0),
        ("feverish", False),
        ("swelling", ()),
        ("new_symptoms", ()),
        ("hands_on_today", HandsOnToday.YES),
        ("shoulders", ()),
    ],
)
def test_an_answer_that_is_given_counts_and_no_other_changes(name: str, value: Any) -> None:
    merged = merged_answers(FULL, SubmittedArrivalAnswers(**{name: value}))
    changed = {one for one in FULL.__struct_fields__ if getattr(merged, one) != getattr(FULL, one)}
    assert changed == {name}
    assert getattr(merged, name) == value


def test_a_shoulder_that_is_not_named_and_words_said_before_stay() -> None:
    right = ShoulderToday(side=Side.RIGHT, pinches=True)
    given_now = SubmittedArrivalAnswers(shoulders=(right,), other_symptoms="tired")
    merged = merged_answers(FULL, given_now)
    assert {one.side for one in merged.shoulders or ()} == {Side.LEFT, Side.RIGHT}
    assert merged.other_symptoms == "coughing blood\ntired"


@pytest.mark.parametrize("text", ["", "None", " none. ", "NO", "n/a", "-", "Nothing  new!"])
def test_none_and_its_like_are_no_words(text: str) -> None:
    answers = SubmittedArrivalAnswers(other_symptoms=text)
    assert words_said(answers, RULES.words_for_nothing) == ""


@pytest.mark.parametrize("text", ["cannot feel my legs", "no feeling", "none of it is better"])
def test_anything_else_is_words(text: str) -> None:
    answers = SubmittedArrivalAnswers(other_symptoms=text)
    assert words_said(answers, RULES.words_for_nothing) == text


def test_a_cleared_sign_is_raised_again_only_where_it_is_said_again() -> None:
    fever = frozenset({RedFlag.FEVER})
    clearing = RedFlagCleared(
        session_id=SESSION,
        red_flag=RedFlag.FEVER,
        practitioner_id=PHYSIO.practitioner_id,
        credential=PHYSIO.credential,
        found="36.9 twice.",
    )
    session = given(CALENDAR, booked(), came(RedFlag.FEVER), clearing).state.session(SESSION)
    silent, again = SubmittedArrivalAnswers(fatigue=1), SubmittedArrivalAnswers(feverish=True)
    assert signs_raised(session, silent, frozenset(), fever) == ()
    assert signs_raised(session, again, fever, fever) == (RedFlag.FEVER,)


@pytest.mark.parametrize(("limb", "raised"), [(LEFT_LEG, False), (RIGHT_LEG, True)])
def test_another_limb_that_swells_is_another_sign(limb: NewSwelling, raised: bool) -> None:
    swelling = frozenset({RedFlag.NEW_SWELLING})
    state = given(CALENDAR, booked(), came(RedFlag.NEW_SWELLING, swelling=(LEFT_LEG,))).state
    answers = SubmittedArrivalAnswers(swelling=(limb,))
    found = signs_raised(state.session(SESSION), answers, swelling, swelling)
    assert bool(found) is raised


def clear(flag: RedFlag, found: str = "A bruise.", by: Reviewer = PHYSIO) -> Any:
    command = ClearRedFlag(session_id=SESSION, red_flag=flag, found=found)
    return lambda s, c: decide_clear_red_flag(s, command, by, RULES, c)


@pytest.mark.parametrize("flag", RedFlag)
@pytest.mark.parametrize("chemotherapy", [True, False, None])
def test_an_emergency_is_not_lifted_that_day_and_on_the_next(
    flag: RedFlag, chemotherapy: bool | None
) -> None:
    emergency = flag in RULES.emergency_signs or (
        flag is RedFlag.FEVER and chemotherapy is not False
    )
    day = (booked(), came(flag, chemotherapy=chemotherapy))
    today = given(CALENDAR, *day).when(clear(flag), now=AHEAD + timedelta(minutes=30))
    if emergency:
        today.rejected("emergency_today", 409)
    else:
        today.then_kinds(RedFlagCleared)
    next_day = AHEAD + timedelta(days=1)
    given(CALENDAR, *day).when(clear(flag), now=next_day).then_kinds(RedFlagCleared)


def test_the_emergencies_are_those_of_the_ruling() -> None:
    later = {
        RedFlag.FEVER,
        RedFlag.HOT_RED_OR_BLOTCHY_LIMB,
        RedFlag.NEW_BONE_PAIN,
        RedFlag.NEW_NERVE_PAIN,
        RedFlag.REST_PAIN,
        RedFlag.NEW_SWELLING,
        RedFlag.NEARLY_FAINTED,
        RedFlag.WOUND_OPENED_OR_WEEPING,
        RedFlag.FALL,
    }
    assert set(RULES.emergency_signs) == set(RedFlag) - later
    assert RULES.emergency_signs_in_chemotherapy == (RedFlag.FEVER,)


@pytest.mark.parametrize("credential", Credential)
def test_who_may_evaluate_is_a_table_of_credentials(credential: Credential) -> None:
    by = replace(PHYSIO, credential=credential)
    day = (booked(), came(RedFlag.FALL, words="dizzy"))
    review = ReviewWords(session_id=SESSION, words=("dizzy",), found="Fine.")
    for decide in (
        clear(RedFlag.FALL, by=by),
        lambda s, c: decide_review_words(s, review, by, RULES, c),
    ):
        scenario = given(CALENDAR, *day).when(decide, now=AHEAD)
        if credential in (Credential.PHYSICAL_THERAPIST, Credential.OCCUPATIONAL_THERAPIST):
            assert scenario.events
        else:
            scenario.rejected("may_not_evaluate", 403)


def test_a_clearing_names_what_stands_and_says_what_was_found() -> None:
    day = (booked(), came(RedFlag.FALL))
    given(CALENDAR, *day).when(clear(RedFlag.SEIZURE)).rejected("not_standing", 409)
    given(CALENDAR, *day).when(clear(RedFlag.FALL, " ")).rejected("invalid", 400)


def test_words_are_reviewed_by_name_wherever_they_were_said() -> None:
    day = (booked(), booked(OTHER), came(words="dizzy"), came(words="tingling"))

    def review(*words: str, found: str = "Fine.") -> Any:
        command = ReviewWords(session_id=OTHER, words=words, found=found)
        return lambda s, c: decide_review_words(s, command, PHYSIO, RULES, c)

    given(CALENDAR, *day).when(review()).rejected("words_not_waiting", 409)
    refusal = given(CALENDAR, *day).when(review("dizzy", "else")).rejected("words_not_waiting", 409)
    assert refusal.extra["words"] == ["dizzy", "tingling"]
    given(CALENDAR, *day).when(review("dizzy", found="")).rejected("invalid", 400)
    (event,) = given(CALENDAR, *day).when(review("dizzy")).events
    assert isinstance(event, ArrivalWordsReviewed)
    words = given(CALENDAR, *day, event).state.session(SESSION).words
    assert [(one.text, one.waits()) for one in words] == [("dizzy", False), ("tingling", True)]
