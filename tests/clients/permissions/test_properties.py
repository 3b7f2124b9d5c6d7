"""What holds of the permissions for all facts."""

from __future__ import annotations

import os
from typing import TypeVar

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import HistoryContent
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.results import MODE_WIDTH, SessionPermissions, StretchPermission
from practice.core.reasons import readable_by
from practice.core.terms import Mode, Role, Side, Technique
from tests.clients.permissions import chapters, strategies
from tests.clients.permissions import given as g

T = TypeVar("T")
replace = msgspec.structs.replace
# 200 examples each in the short form; the long harnesses run 3,000.
FULL = os.environ.get("PRACTICE_FULL_HARNESS") == "1"
EXAMPLES = settings(max_examples=3000 if FULL else 200, deadline=None)
PAIRS = ((g.CHEST, g.CHEST_ONE_ARM), (g.V, replace(g.V, two_armed=False)))


def keyed(permissions: SessionPermissions) -> dict[tuple[str, Technique, Side], StretchPermission]:
    return {(v.stretch, v.technique, v.side): v for v in permissions.stretch_permissions}


def wider(one: Mode, other: Mode) -> bool:
    return MODE_WIDTH[one] > MODE_WIDTH[other]


@EXAMPLES
@given(chapters.facts(), strategies.narrowings)
def test_adding_a_restriction_never_widens(
    known: PermissionFacts, narrow: strategies.Narrowing
) -> None:
    before, after = g.evaluated(known), g.evaluated(narrow(known))
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
@given(chapters.facts())
def test_withdrawing_consent_always_ends_hands_on(known: PermissionFacts) -> None:
    withdrawn = strategies.consent_status(ConsentStatus.WITHDRAWN)(known)
    permissions = g.evaluated(withdrawn)
    assert permissions.mode is not Mode.HANDS_ON
    assert permissions.planned is not Mode.HANDS_ON
    assert not any(Mode.HANDS_ON in (v.mode, v.planned) for v in permissions.stretch_permissions)
    assert "consent.withdrawn" in g.codes(permissions)


@EXAMPLES
@given(chapters.facts(), st.randoms(use_true_random=False))
def test_the_order_of_facts_does_not_matter(known: PermissionFacts, random: st.DataObject) -> None:
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
    assert g.evaluated(other) == g.evaluated(known)


@EXAMPLES
@given(chapters.facts())
def test_every_verdict_other_than_hands_on_has_a_reason_with_a_source(
    known: PermissionFacts,
) -> None:
    permissions = g.evaluated(known)
    for found in (permissions, *permissions.stretch_permissions):
        assert found.mode is Mode.HANDS_ON or found.reasons
        assert all(r.code and r.text and r.source for r in found.reasons)


@EXAMPLES
@given(chapters.facts())
def test_nobody_stretches_passively_alone_and_the_plan_is_never_narrower_than_now(
    known: PermissionFacts,
) -> None:
    for stretch_permission in g.evaluated(known).stretch_permissions:
        if stretch_permission.technique is not Technique.ACTIVE_ISOLATED:
            assert stretch_permission.mode is not Mode.SELF_DIRECTED
            assert stretch_permission.planned is not Mode.SELF_DIRECTED
        assert not wider(stretch_permission.mode, stretch_permission.planned)
        offered = stretch_permission.offered_instead
        assert offered is None or stretch_permission.mode is Mode.NOT_TODAY


@EXAMPLES
@given(chapters.facts())
def test_a_two_armed_stretch_takes_the_worse_side(known: PermissionFacts) -> None:
    for both, single in PAIRS:
        permissions = g.evaluated(known, both, replace(single, code="single"))
        for technique in both.techniques:
            together = permissions.stretch_permission(both.code, technique, Side.BOTH)
            assert together is not None
            for side in (Side.LEFT, Side.RIGHT):
                alone = permissions.stretch_permission("single", technique, side)
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
    "arrival.words_unreviewed",
    "competence.",
    "consent.",
    "facility.",
    "health",
    "history.",
    "law.",
    "practitioner.left",
    "preference.",
    "stop",
    "technique.",
)


@EXAMPLES
@given(chapters.facts())
def test_the_desk_reads_no_health_reason(known: PermissionFacts) -> None:
    permissions = g.evaluated(known)
    for found in (permissions, *permissions.stretch_permissions):
        shown = readable_by(Role.FRONT_DESK, found.reasons)
        assert all(reason.code.startswith(FOR_THE_DESK) for reason in shown)
        assert found.mode is Mode.HANDS_ON or shown
    warnings = readable_by(Role.FRONT_DESK, permissions.warnings)
    assert all(reason.code.startswith(FOR_THE_DESK) for reason in warnings)
