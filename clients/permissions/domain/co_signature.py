"""Whether the work of a session stands on supervision, so that its note is co-signed. Pure."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from clients.permissions.domain import law
from clients.permissions.domain.findings import PRACTICE_POLICY
from clients.permissions.domain.inputs import PermissionFacts
from practice.core.reasons import Reason
from practice.core.terms import Activity, Technique

WORK = {
    Activity.ASSISTED_STRETCHING: "stretches by hand",
    Activity.EXERCISE_INSTRUCTION: "instructs exercise",
}


def reasons_to_co_sign(
    facts: PermissionFacts, by_hand: Collection[Technique]
) -> tuple[Reason, ...]:
    """Why the note of a session waits for the supervisor's co-signature; none: it does not.

    What a law or the facility allows only under supervision stands on it, whether or not
    someone was named; so does exercise where instructing it needs a supervisor. Beside that,
    the practice may have its supervisor co-sign. ``by_hand``: the techniques done by hand.
    """
    return tuple(dict.fromkeys(_reasons(facts, frozenset(by_hand))))


def _reasons(facts: PermissionFacts, by_hand: frozenset[Technique]) -> Iterator[Reason]:
    title = facts.practitioner.credential.value.replace("_", " ")
    for activity, words in WORK.items():
        if activity is Activity.ASSISTED_STRETCHING and not by_hand:
            continue
        for row in law.limits_under_supervision(facts, activity):
            text = f"In {row.jurisdiction} a {title} {words} only under supervision."
            yield Reason(code="co_signature.law", text=text, source=law.source_of(row))
    if by_hand.intersection(facts.facility.techniques_supervised):
        text = "At this facility work by hand of this kind is done only under supervision."
        yield Reason(code="co_signature.facility", text=text, source=PRACTICE_POLICY)
    if facts.supervision is not None and facts.supervision.co_signs:
        text = "The supervisor of that day co-signs this practitioner's notes."
        yield Reason(code="co_signature.supervision", text=text, source=PRACTICE_POLICY)
