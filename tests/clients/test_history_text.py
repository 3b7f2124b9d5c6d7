"""The health history in one sentence: conditions with where, since when, counts and effects."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from clients.health.domain.content import BloodCount, Condition, HistoryContent, WordsReviewed
from clients.health.domain.terms import (
    BloodCountKind,
    ClosedWork,
    ConditionKind,
    OperationKind,
    WordsEffect,
)
from clients.health.domain.wording import history_text
from clients.identity.domain.partial_dates import DatePrecision
from practice.core.terms import Region, Side
from tests.clients.permissions import given as g

ID = UUID(int=9)


def test_an_empty_history_says_so() -> None:
    assert history_text(HistoryContent()) == "nothing"


def test_every_entry_is_named_with_what_is_known_of_it() -> None:
    """Ruling 51."""
    port = Condition(
        id=ID,
        kind=ConditionKind.IMPLANTED_PORT,
        sites=(g.site(Region.CHEST, Side.LEFT),),
        since=date(2026, 1, 31),
        since_precision=DatePrecision.MONTH,
        accessed_from=date(2026, 3, 1),
    )
    words = Condition(
        id=ID,
        kind=ConditionKind.OTHER,
        text="tingling",
        reviewed=WordsReviewed(
            effect=WordsEffect.CLOSES, reason="not clear yet", closes=(ClosedWork.LOAD,)
        ),
    )
    clot = Condition(id=ID, kind=ConditionKind.CLOT, suspected=True)
    count = BloodCount(id=ID, kind=BloodCountKind.PLATELETS, value=48, drawn_on=date(2026, 2, 27))
    history = g.history(
        operations=(g.healed(OperationKind.MASTECTOMY, Side.LEFT, None),),
        radiations=(g.radiation(g.site(Region.CHEST, Side.LEFT), skin_broken=None),),
        conditions=(port, words, clot),
        blood_counts=(count,),
    )
    assert history_text(history) == (
        "mastectomy (left); radiation (left chest); "
        "implanted port (left chest, since 2026-01, needle in from 2026-03-01); "
        'other "tingling", closes load: not clear yet; clot (suspected); '
        "platelets 48 x 10^9/L (drawn 2026-02-27)"
    )


def test_words_without_effect_and_cautions_are_told_apart() -> None:
    def other(effect: WordsEffect) -> Condition:
        said = WordsReviewed(effect=effect, reason="seen")
        return Condition(id=ID, kind=ConditionKind.OTHER, text="rash", reviewed=said)

    told = [history_text(g.history(conditions=(other(effect),))) for effect in WordsEffect]
    assert told[:2] == ['other "rash", has no effect: seen', 'other "rash", is a caution: seen']
