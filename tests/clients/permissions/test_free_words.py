"""Ruling 51: a condition in free words closes hands-on work until somebody has said what it is."""

from __future__ import annotations

from uuid import UUID

import pytest

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import BodySite, Condition, WordsReviewed
from clients.health.domain.terms import ClosedWork, ConditionKind, WordsEffect
from clients.permissions.domain.inputs import PermissionFacts
from practice.core.reasons import Audience
from practice.core.terms import Mode, Region, Side
from tests.clients.permissions import given as g

LEFT_SHOULDER = BodySite(region=Region.SHOULDER, side=Side.LEFT)


def words(
    effect: WordsEffect | None = None, *closes: ClosedWork, sites: tuple[BodySite, ...] = ()
) -> Condition:
    said = WordsReviewed(effect=effect, reason="as found", closes=closes) if effect else None
    return Condition(
        id=UUID(int=71), kind=ConditionKind.OTHER, text="a weak hand", sites=sites, reviewed=said
    )


def having(condition: Condition) -> PermissionFacts:
    return g.facts(reviewed=g.history(conditions=(condition,)))


def open_limbs(known: PermissionFacts) -> set[LoadedLimb]:
    return {one.limb for one in g.evaluated(known).load if one.open}


@pytest.mark.parametrize("told", ["reviewed", "reported"])
def test_words_that_nobody_answered_close_all_hands_on_work_and_no_more(told: str) -> None:
    content = g.history(conditions=(words(sites=(LEFT_SHOULDER,)),))
    known = g.facts(**({"reviewed": content} if told == "reviewed" else {"reported": (content,)}))
    for stretch in (g.FLEXION, g.HAMSTRINGS):
        found = g.stretch_permission(known, stretch)
        assert found.mode is Mode.SELF_DIRECTED
        assert "words.not_reviewed" in g.codes(found)
    session = g.evaluated(known)
    assert session.mode is Mode.SELF_DIRECTED
    [reason] = [one for one in session.reasons if one.code == "words.not_reviewed"]
    assert reason.audience is Audience.CLINICAL
    assert "a weak hand" in reason.text
    assert open_limbs(known) == set(LoadedLimb)
    left = next(one for one in session.load if one.limb is LoadedLimb.LEFT_ARM)
    assert "words.load_not_reviewed" in {one.code for one in left.cautions}


def test_no_effect_opens_and_a_caution_is_shown_where_it_belongs() -> None:
    free = g.evaluated(having(words(WordsEffect.NO_EFFECT)))
    assert free == g.evaluated(g.facts())
    known = having(words(WordsEffect.CAUTION, sites=(LEFT_SHOULDER,)))
    here = g.stretch_permission(known, g.FLEXION)
    assert here.mode is Mode.HANDS_ON
    assert "words.caution" in {one.code for one in here.cautions}
    for elsewhere in (
        g.stretch_permission(known, g.FLEXION, side=Side.RIGHT),
        g.stretch_permission(known, g.HAMSTRINGS),
    ):
        assert "words.caution" not in {one.code for one in elsewhere.cautions}
    load = {one.limb: {r.code for r in one.cautions} for one in g.evaluated(known).load}
    assert "words.caution" in load[LoadedLimb.LEFT_ARM]
    assert "words.caution" not in load[LoadedLimb.RIGHT_ARM]


@pytest.mark.parametrize(
    ("closed", "active", "relax", "left_arm_open"),
    [
        (ClosedWork.HANDS_ON, Mode.SELF_DIRECTED, Mode.NOT_TODAY, True),
        (ClosedWork.ASSISTED_STRETCHING, Mode.HANDS_ON, Mode.NOT_TODAY, True),
        (ClosedWork.LOAD, Mode.HANDS_ON, Mode.HANDS_ON, False),
        (ClosedWork.ALL_WORK, Mode.NOT_TODAY, Mode.NOT_TODAY, False),
    ],
)
def test_what_an_answer_closes_is_closed_at_its_sites_alone(
    closed: ClosedWork, active: Mode, relax: Mode, left_arm_open: bool
) -> None:
    known = having(words(WordsEffect.CLOSES, closed, sites=(LEFT_SHOULDER,)))
    assert g.stretch_permission(known, g.FLEXION, g.AI).mode is active
    assert g.stretch_permission(known, g.FLEXION, g.CR).mode is relax
    for technique in (g.AI, g.CR):
        right = g.stretch_permission(known, g.FLEXION, technique, Side.RIGHT)
        assert right.mode is Mode.HANDS_ON
    assert (LoadedLimb.LEFT_ARM in open_limbs(known)) is left_arm_open
    assert LoadedLimb.RIGHT_ARM in open_limbs(known)


def test_all_work_closed_without_a_site_closes_the_day() -> None:
    known = having(words(WordsEffect.CLOSES, ClosedWork.ALL_WORK))
    assert g.evaluated(known).mode is Mode.NOT_TODAY
    assert not open_limbs(known)
