"""Conditions in free words: kept as conditions, and answered by whoever may evaluate. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from uuid import UUID

import msgspec

from clients.health.domain.content import Condition, HistoryContent
from clients.health.domain.terms import ConditionKind, WordsEffect
from practice.core.reasons import Rejected, invalid

Conditions = Iterable[Condition]


def are_free_words(condition: Condition) -> bool:
    """Whether a condition has no name of its own, only words."""
    return condition.kind is ConditionKind.OTHER


def as_conditions(content: HistoryContent, new_id: Callable[[], UUID]) -> HistoryContent:
    """Words beside the entries may say a condition: they become one in free words."""
    if not content.text.strip():
        return content
    said = Condition(id=new_id(), kind=ConditionKind.OTHER, text=content.text)
    return msgspec.structs.replace(content, conditions=(*content.conditions, said), text="")


def check_reported(content: HistoryContent) -> None:
    """Raises Rejected 400 where a report says itself what its free words mean."""
    for number, condition in enumerate(content.conditions):
        if condition.reviewed is not None:
            raise invalid(
                f"conditions.{number}.reviewed", "What free words mean is said in a review."
            )


def check_complete(content: HistoryContent) -> None:
    """Raises Rejected 400 for an answer that does not say what, or is about no free words."""
    for number, condition in enumerate(content.conditions):
        said, field = condition.reviewed, f"conditions.{number}.reviewed"
        if said is None:
            continue
        if not are_free_words(condition):
            raise invalid(field, "Only a condition of kind other is reviewed by its words.")
        if not said.reason.strip():
            raise invalid(f"{field}.reason", "Say why.")
        if (said.effect is WordsEffect.CLOSES) is not bool(said.closes):
            raise invalid(f"{field}.closes", "Name what it closes, and only where it closes.")


def check_kept(content: HistoryContent, before: Conditions) -> None:
    """Raises Rejected 409 where free words that still narrow are left out of a review."""
    kept = {condition.id for condition in content.conditions}
    lost = [one for one in before if _narrows(one) and one.id not in kept]
    if lost:
        words = "; ".join(f"{one.text or 'no words'} ({one.id})" for one in lost)
        raise Rejected(
            "free_words_left_out",
            f"Take these conditions over under their id and say what each means: {words}.",
        )


def answers_words(content: HistoryContent, before: Conditions) -> bool:
    """Whether a review says anew what free words mean, or gives them a name."""
    known: Mapping[UUID, Condition] = {one.id: one for one in before}
    return any(_answered(condition, known.get(condition.id)) for condition in content.conditions)


def _narrows(condition: Condition) -> bool:
    said = condition.reviewed
    return are_free_words(condition) and (said is None or said.effect is not WordsEffect.NO_EFFECT)


def _answered(condition: Condition, before: Condition | None) -> bool:
    if condition.reviewed is not None:
        return condition != before
    return before is not None and are_free_words(before) and not are_free_words(condition)
