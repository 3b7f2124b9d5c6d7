"""What holds of the permissions for all facts."""

from __future__ import annotations

import os
from typing import TypeVar

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.domain.health import HistoryContent
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.outputs import WIDTH, Judgement, Verdict
from clients.domain.terms import ConsentStatus
from practice.domain.reasons import readable_by
from practice.domain.terms import Mode, Role, Side, Technique
from tests.clients.permissions import given as g
from tests.clients.permissions import strategies

T = TypeVar("T")
replace = msgspec.structs.replace
# 60 examples each in the short form; the long harnesses run 3,000.
FULL = os.environ.get("PRACTICE_FULL_HARNESS") == "1"
EXAMPLES = settings(max_examples=3000 if FULL else 60, deadline=None)
PAIRS = ((g.CHEST, g.CHEST_ONE_ARM), (g.V, replace(g.V, two_armed=False)))


def keyed(judgement: Judgement) -> dict[tuple[str, Technique, Side], Verdict]:
    return {(v.stretch, v.technique, v.side): v for v in judgement.verdicts}


def wider(one: Mode, other: Mode) -> bool:
    return WIDTH[one] > WIDTH[other]


@EXAMPLES
@given(strategies.facts(), strategies.narrowings)
def test_adding_a_restriction_never_widens(known: Facts, narrow: strategies.Narrowing) -> None:
    before, after = g.judged(known), g.judged(narrow(known))
    assert not wider(after.mode, before.mode)
    assert not wider(after.planned, before.planned)
    assert before.loading or not after.loading
    assert {r.code for r in before.refusals} <= {r.code for r in after.refusals}
    now = keyed(after)
    for key, old in keyed(before).items():
        new = now[key]
        assert not wider(new.mode, old.mode), (key, old.reasons, new.reasons)
        assert not wider(new.planned, old.planned), (key, old.reasons, new.reasons)
        left = g.degrees(new)
        for movement, degrees in g.degrees(old).items():
            assert left[movement] <= degrees


@EXAMPLES
@given(strategies.facts())
def test_withdrawing_consent_always_ends_hands_on(known: Facts) -> None:
    withdrawn = strategies.consent_status(ConsentStatus.WITHDRAWN)(known)
    judgement = g.judged(withdrawn)
    assert judgement.mode is not Mode.HANDS_ON
    assert judgement.planned is not Mode.HANDS_ON
    assert not any(Mode.HANDS_ON in (v.mode, v.planned) for v in judgement.verdicts)
    assert "consent.withdrawn" in g.codes(judgement)


@EXAMPLES
@given(strategies.facts(), st.randoms(use_true_random=False))
def test_the_order_of_facts_does_not_matter(known: Facts, random: st.DataObject) -> None:
    def shuffled(items: tuple[T, ...]) -> tuple[T, ...]:
        mixed = list(items)
        random.shuffle(mixed)  # type: ignore[attr-defined]
        return tuple(mixed)

    def mixed(history: HistoryContent) -> HistoryContent:
        return replace(
            history,
            operations=shuffled(history.operations),
            radiations=shuffled(history.radiations),
            conditions=shuffled(history.conditions),
        )

    client = known.client
    other = replace(
        known,
        limits=shuffled(known.limits),
        client=replace(
            client,
            orders=shuffled(client.orders),
            reported=shuffled(tuple(mixed(history) for history in client.reported)),
            reviewed=mixed(client.reviewed) if client.reviewed else None,
            consent=replace(client.consent, sites=shuffled(client.consent.sites)),
        ),
        arrival=known.arrival
        and replace(
            known.arrival,
            shoulders=shuffled(known.arrival.shoulders),
            signs=known.arrival.signs and shuffled(known.arrival.signs),
        ),
    )
    assert g.judged(other) == g.judged(known)


@EXAMPLES
@given(strategies.facts())
def test_every_verdict_other_than_hands_on_has_a_reason_with_a_source(known: Facts) -> None:
    judgement = g.judged(known)
    for found in (judgement, *judgement.verdicts):
        assert found.mode is Mode.HANDS_ON or found.reasons
        assert all(r.code and r.text and r.source for r in found.reasons)


@EXAMPLES
@given(strategies.facts())
def test_nobody_stretches_herself_passively_and_the_plan_is_never_narrower_than_now(
    known: Facts,
) -> None:
    for verdict in g.judged(known).verdicts:
        if verdict.technique is not Technique.ACTIVE_ISOLATED:
            assert verdict.mode is not Mode.SELF_DIRECTED
            assert verdict.planned is not Mode.SELF_DIRECTED
        assert not wider(verdict.mode, verdict.planned)
        offered = verdict.offered_instead
        assert offered is None or verdict.mode is Mode.NOT_TODAY


@EXAMPLES
@given(strategies.facts())
def test_a_two_armed_stretch_takes_the_worse_side(known: Facts) -> None:
    for both, single in PAIRS:
        judgement = g.judged(known, both, replace(single, code="single"))
        for technique in both.techniques:
            together = judgement.verdict(both.code, technique, Side.BOTH)
            assert together is not None
            for side in (Side.LEFT, Side.RIGHT):
                alone = judgement.verdict("single", technique, side)
                assert alone is not None
                assert not wider(together.mode, alone.mode)
                for movement, degrees in g.degrees(alone).items():
                    assert g.degrees(together)[movement] <= degrees


# What the desk may read in full: consent, preference, licence and law, the facility, papers by
# kind, and the client's own word on touch. Everything else is one general code.
FOR_THE_DESK = (
    "arrival.fetch_practitioner",
    "arrival.hands_on_unanswered",
    "arrival.incomplete",
    "arrival.no_hands_on",
    "arrival.not_answered",
    "competence.",
    "consent.",
    "facility.",
    "health",
    "history.",
    "law.",
    "preference.",
    "stop",
    "technique.",
)


@EXAMPLES
@given(strategies.facts())
def test_the_desk_reads_no_health_reason(known: Facts) -> None:
    judgement = g.judged(known)
    for found in (judgement, *judgement.verdicts):
        shown = readable_by(Role.FRONT_DESK, found.reasons)
        assert all(reason.code.startswith(FOR_THE_DESK) for reason in shown)
        assert found.mode is Mode.HANDS_ON or shown
    warnings = readable_by(Role.FRONT_DESK, judgement.warnings)
    assert all(reason.code.startswith(FOR_THE_DESK) for reason in warnings)
