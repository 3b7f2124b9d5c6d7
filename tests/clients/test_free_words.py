"""Ruling 51: free words are answered by whoever may evaluate, all of an intake in one review."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.health.domain import decisions as taking_history
from clients.health.domain.commands import ReportHistory, ReviewHistory
from clients.health.domain.content import (
    BloodCount,
    BodySite,
    Condition,
    HistoryContent,
    Radiation,
    WordsReviewed,
)
from clients.health.domain.events import HistoryReported, HistoryReviewed
from clients.health.domain.state import HEALTH
from clients.health.domain.terms import BloodCountKind, ClosedWork, ConditionKind, WordsEffect
from practice.core.decisions import Context
from practice.core.reasons import Rejected
from practice.core.terms import Credential, Region, Side
from practice.people_and_places.models.practitioners import Practitioner
from tests.builders import Api, Built, ok, refused
from tests.clients.bodies import REVIEWED
from tests.clients.test_decisions import DETAILS, TODAY
from tests.dsl import given

WORDS = Condition(id=UUID(int=5), kind=ConditionKind.OTHER, text="coughs at night")
NO_EFFECT = WordsReviewed(effect=WordsEffect.NO_EFFECT, reason="an old cold")
CLOSES = WordsReviewed(effect=WordsEffect.CLOSES, reason="asked", closes=(ClosedWork.LOAD,))


def answered(said: WordsReviewed | None, **more: Any) -> Condition:
    values = {"id": WORDS.id, "kind": WORDS.kind, "text": WORDS.text, **more}
    return Condition(reviewed=said, **values)


def content(*conditions: Condition, **more: Any) -> HistoryContent:
    return HistoryContent(conditions=conditions, **more)


def reviewing(said: HistoryContent, *, evaluates: bool = True) -> Any:
    def check() -> None:
        if not evaluates:
            raise Rejected("may_not_evaluate", "Nobody here.", status=403)

    def decide(state: Any, ctx: Context) -> Any:
        return taking_history.review_history(
            state, ReviewHistory(content=said), DETAILS, check_may_evaluate=check, ctx=ctx
        )

    return decide


def reporting(said: HistoryContent) -> Any:
    command = ReportHistory(content=said)
    return lambda _state, ctx: taking_history.report_history(command, DETAILS, ctx)


TOLD = HistoryReported(report_id=UUID(int=6), content=content(WORDS))


def found(*said: Condition) -> HistoryReviewed:
    return HistoryReviewed(
        review_id=UUID(int=7), content=content(*said), practitioner_id=None, covers=(UUID(int=6),)
    )


def test_words_beside_the_entries_become_a_condition_in_reports_and_reviews() -> None:
    said = content(text="cannot feel the legs")
    for decide, kind in ((reporting(said), HistoryReported), (reviewing(said), HistoryReviewed)):
        [event] = given(HEALTH).when(decide).then_kinds(kind)
        [condition] = event.content.conditions  # type: ignore[attr-defined]
        assert (condition.kind, condition.text) == (ConditionKind.OTHER, "cannot feel the legs")
        assert (condition.reviewed, event.content.text) == (None, "")  # type: ignore[attr-defined]
    [blank] = given(HEALTH).when(reporting(content(text="  "))).then_kinds(HistoryReported)
    assert blank.content.conditions == ()  # type: ignore[attr-defined]


@pytest.mark.parametrize("before", [(TOLD,), (TOLD, found(WORDS)), (TOLD, found(answered(CLOSES)))])
def test_a_review_that_leaves_out_words_that_narrow_is_refused(before: tuple[Any, ...]) -> None:
    given(HEALTH, *before).when(reviewing(content())).rejected("free_words_left_out")
    given(HEALTH, *before).when(reviewing(content(answered(NO_EFFECT)))).then_kinds(HistoryReviewed)


def test_words_without_effect_may_be_left_out_later() -> None:
    before = given(HEALTH, TOLD, found(answered(NO_EFFECT)))
    before.when(reviewing(content(), evaluates=False)).then_kinds(HistoryReviewed)


@pytest.mark.parametrize(
    "said",
    [
        answered(NO_EFFECT),
        answered(CLOSES),
        answered(None, kind=ConditionKind.CORDING),
    ],
)
def test_only_who_may_evaluate_answers_words_or_gives_them_a_name(said: Condition) -> None:
    barred = reviewing(content(said), evaluates=False)
    given(HEALTH, TOLD).when(barred).rejected("may_not_evaluate", 403)
    given(HEALTH, TOLD).when(reviewing(content(said))).then_kinds(HistoryReviewed)


def test_who_may_not_evaluate_takes_answers_over_but_changes_none() -> None:
    before = (HEALTH, TOLD, found(answered(CLOSES)))
    same = reviewing(content(answered(CLOSES)), evaluates=False)
    given(*before).when(same).then_kinds(HistoryReviewed)
    for changed in (answered(NO_EFFECT), answered(CLOSES, text="something else")):
        other = reviewing(content(changed), evaluates=False)
        given(*before).when(other).rejected("may_not_evaluate")
    unsaid = given(HEALTH, TOLD).when(reviewing(content(WORDS), evaluates=False))
    unsaid.then_kinds(HistoryReviewed)


@pytest.mark.parametrize(
    "said",
    [
        answered(WordsReviewed(effect=WordsEffect.CLOSES, reason="asked")),
        answered(
            WordsReviewed(effect=WordsEffect.CAUTION, reason="asked", closes=(ClosedWork.LOAD,))
        ),
        answered(WordsReviewed(effect=WordsEffect.NO_EFFECT, reason=" ")),
        answered(NO_EFFECT, kind=ConditionKind.CORDING),
    ],
)
def test_an_answer_says_what_and_why_and_is_about_words(said: Condition) -> None:
    given(HEALTH).when(reviewing(content(said))).rejected("invalid")


def test_a_report_does_not_answer_its_own_words() -> None:
    given(HEALTH).when(reporting(content(answered(NO_EFFECT)))).rejected("invalid")


@pytest.mark.parametrize(
    ("kind", "most"),
    [
        (BloodCountKind.PLATELETS, 3_000),
        (BloodCountKind.HEMOGLOBIN, 25),
        (BloodCountKind.NEUTROPHILS, 100_000),
    ],
)
def test_a_count_in_another_unit_is_refused(kind: BloodCountKind, most: float) -> None:
    def counted(value: float, days: int = 0) -> HistoryContent:
        drawn = TODAY - timedelta(days=days)
        return HistoryContent(
            blood_counts=(BloodCount(id=UUID(int=8), kind=kind, value=value, drawn_on=drawn),)
        )

    given(HEALTH).when(reporting(counted(most))).then_kinds(HistoryReported)
    given(HEALTH).when(reporting(counted(most + 1))).rejected("invalid")
    given(HEALTH).when(reporting(counted(1, days=-1))).rejected("invalid")


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        (ConditionKind.CLOT, {"until": TODAY}),
        (ConditionKind.CORDING, {"accessed_from": TODAY}),
        (ConditionKind.ANTICOAGULANTS, {"since": TODAY, "until": TODAY - timedelta(days=1)}),
        (
            ConditionKind.IMPLANTED_PORT,
            {"accessed_from": TODAY, "accessed_until": TODAY - timedelta(days=1)},
        ),
    ],
)
def test_dates_that_do_not_belong_are_refused(kind: ConditionKind, more: dict[str, Any]) -> None:
    said = content(Condition(id=UUID(int=9), kind=kind, **more))
    given(HEALTH).when(reporting(said)).rejected("invalid")


def test_a_look_at_the_skin_says_what_was_seen_and_lies_not_ahead() -> None:
    for more in (
        {"skin_seen_on": TODAY},
        {"skin_seen_on": TODAY + timedelta(days=1), "skin_broken": False},
    ):
        sites = (BodySite(region=Region.CHEST, side=Side.LEFT),)
        course = Radiation(id=UUID(int=4), sites=sites, **more)
        said = HistoryContent(radiations=(course,))
        given(HEALTH).when(reporting(said)).rejected("invalid")


@pytest.mark.parametrize(
    "kind",
    [
        ConditionKind.ARM_CLOT,
        ConditionKind.BRAIN_METASTASIS,
        ConditionKind.SEIZURES,
        ConditionKind.HEART_DISEASE,
        ConditionKind.HEART_DEVICE,
    ],
)
def test_what_waits_for_a_clearance_counts_from_the_day_it_was_told(kind: ConditionKind) -> None:
    said = content(Condition(id=UUID(int=9), kind=kind))
    [event] = given(HEALTH).when(reporting(said)).then_kinds(HistoryReported)
    assert event.content.conditions[0].since == TODAY  # type: ignore[attr-defined]


def test_an_intake_in_free_words_is_answered_over_http_in_one_review(
    built: Built, desk: Api, therapist: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/health-history"
    told = {"conditions": [{"kind": "other", "text": "a weak hand"}], "text": "heart stumbles"}
    taken = ok(desk.post(path, told), 201)
    [report] = ok(therapist.get(path))["reports"]
    first, second = report["content"]["conditions"]
    assert (first["text"], second["text"]) == ("a weak hand", "heart stumbles")
    review, version = f"{path}/review", taken["version"]
    refused(therapist.post(review, REVIEWED, match=version), 409, "free_words_left_out")
    no_effect = {"effect": "no_effect", "reason": "since birth"}
    closing = {"effect": "closes", "reason": "until seen", "closes": ["load"]}
    body = {
        **REVIEWED,
        "conditions": [{**first, "reviewed": no_effect}, {**second, "reviewed": closing}],
        "blood_counts": [{"kind": "platelets", "value": 48.5, "drawn_on": "2026-02-27"}],
    }
    person = built.practitioners[Credential.PHYSICAL_THERAPIST]
    Practitioner.objects.filter(pk=person.pk).update(credential=Credential.PERSONAL_TRAINER)
    refused(therapist.post(review, body, match=version), 403, "may_not_evaluate")
    Practitioner.objects.filter(pk=person.pk).update(credential=person.credential)
    too_many = {**body, "blood_counts": [{**body["blood_counts"][0], "value": 48_500}]}
    refused(therapist.post(review, too_many, match=version), 400, "invalid")
    shown = ok(therapist.post(review, body, match=version))["reviewed"]
    assert [one["reviewed"] for one in shown["conditions"]] == [
        {**no_effect, "closes": []},
        closing,
    ]
    [count] = shown["blood_counts"]
    assert (count["kind"], count["value"], count["drawn_on"]) == ("platelets", 48.5, "2026-02-27")
