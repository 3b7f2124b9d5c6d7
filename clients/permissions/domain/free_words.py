"""Conditions in free words: closed until an evaluating practitioner has said what they mean."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.conditions import conditions_of_kind
from clients.clinical.domain.limbs import LoadedLimb, limbs_of
from clients.health.domain.content import Condition, WordsReviewed
from clients.health.domain.sites import overlapping_sites
from clients.health.domain.terms import ClosedWork, ConditionKind, WordsEffect
from clients.permissions.domain.findings import (
    PRACTICE_POLICY,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode

EVALUATED = "the evaluating practitioner's review"
LOAD_CLOSED = frozenset({ClosedWork.LOAD, ClosedWork.ALL_WORK})


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Without an answer no hands-on work; with one what it closes everywhere."""
    for condition in _conditions(facts):
        said = condition.reviewed
        if said is None:
            text = (
                f"A condition in free words ({_words(condition)}): nothing by hand until an "
                "evaluating practitioner has said what it means."
            )
            reason = clinical_reason("words.not_reviewed", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)
        elif not condition.sites and ClosedWork.ALL_WORK in said.closes:
            yield PermissionFinding(Mode.NOT_TODAY, _closed(condition, said))


def for_target(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """What the answer closes, or asks to heed, where a stretch works its sites."""
    for condition in _conditions(facts):
        said = condition.reviewed
        if said is None or not _there(condition, target):
            continue
        closes = set(said.closes)
        if ClosedWork.ALL_WORK in closes or (
            ClosedWork.ASSISTED_STRETCHING in closes and target.assisted_only
        ):
            yield PermissionFinding(Mode.NOT_TODAY, _closed(condition, said))
        if ClosedWork.HANDS_ON in closes:
            yield PermissionFinding(Mode.SELF_DIRECTED, _closed(condition, said))
        if said.effect is WordsEffect.CAUTION:
            yield PermissionFinding(Mode.HANDS_ON, _caution(condition, said), caution=True)


def for_load(
    facts: PermissionFacts, limb: LoadedLimb, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """The same for the load of a limb; what nobody has answered is heeded."""
    for condition in _conditions(facts):
        if condition.sites and limb not in limbs_of(condition.sites):
            continue
        said = condition.reviewed
        if said is None:
            text = f"A condition in free words is not reviewed: {_words(condition)}."
            reason = clinical_reason("words.load_not_reviewed", text, PRACTICE_POLICY)
            yield PermissionFinding(Mode.HANDS_ON, reason, caution=True)
        elif LOAD_CLOSED.intersection(said.closes):
            yield PermissionFinding(Mode.NOT_TODAY, _closed(condition, said))
        elif said.effect is WordsEffect.CAUTION:
            yield PermissionFinding(Mode.HANDS_ON, _caution(condition, said), caution=True)


def _conditions(facts: PermissionFacts) -> Iterator[Condition]:
    return conditions_of_kind(facts.client, ConditionKind.OTHER, facts.day)


def _there(condition: Condition, target: StretchTarget) -> bool:
    return not condition.sites or bool(overlapping_sites(condition.sites, target.worked))


def _words(condition: Condition) -> str:
    return condition.text.strip() or "no words"


def _closed(condition: Condition, said: WordsReviewed) -> Reason:
    what = ", ".join(sorted(one.value.replace("_", " ") for one in said.closes))
    text = f"{_words(condition)}: closes {what}. {said.reason}"
    return clinical_reason("words.closed", text, EVALUATED)


def _caution(condition: Condition, said: WordsReviewed) -> Reason:
    return clinical_reason("words.caution", f"{_words(condition)}: {said.reason}", EVALUATED)
