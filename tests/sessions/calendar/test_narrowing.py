"""What of a session narrows, by stretch, technique and side (ruling 48)."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.terms import ConditionKind
from clients.permissions.domain.inputs import PlaceBar, ProgrammeStretch
from clients.permissions.domain.results import HandsOnExtent
from practice.core.terms import Mode, Region, Side, Technique
from sessions.assessment.domain.assessment import Assessment
from sessions.booking.domain.attendance import flag_if_narrowed, flag_kept
from sessions.calendar.domain.events import SessionFlagged
from sessions.calendar.domain.narrowing import narrowed_in, verdicts_in
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.stretch_groups import grouped, stretch_sets, ungrouped
from sessions.calendar.domain.terms import PermissionsSnapshot
from tests.clients.permissions import given as g
from tests.clients.permissions.shipped import contents, shipped
from tests.dsl import given
from tests.sessions.booking.examples import SESSION, booked

ARM_RIGHT = ProgrammeStretch(stretch=g.FLEXION.code, techniques=(g.AI,), side=Side.RIGHT)
ARM_LEFT = ProgrammeStretch(stretch=g.FLEXION.code, techniques=(g.AI,), side=Side.LEFT)
ARMS = ProgrammeStretch(stretch=g.FLEXION.code, techniques=g.ALL, side=Side.BOTH)
ELSEWHERE = tuple(
    g.site(region, side)
    for region in Region
    for side in (Side.LEFT, Side.RIGHT)
    if (region, side) not in {(Region.ARM, Side.RIGHT), (Region.SHOULDER, Side.RIGHT)}
)
RIGHT_ARM_CLOSED = msgspec.structs.replace(
    g.OPEN.client, consent=msgspec.structs.replace(g.CONSENT, sites=ELSEWHERE)
)


def snapshot(
    client: ClientFacts = g.OPEN.client, *programme: ProgrammeStretch
) -> PermissionsSnapshot:
    case = Assessment(
        facts=g.facts(client=client, programme=programme),
        stretches=g.STRETCHES,
        settings=g.settings(),
    )
    return case.snapshot(case.planned(), provisional=True)


def session(
    plan: PermissionsSnapshot, *flags: Any, planned_mode: Mode = Mode.HANDS_ON
) -> SessionState:
    made = booked(permissions=plan, planned_mode=planned_mode)
    return given(CALENDAR, made, *flags).state.session(SESSION)


def test_a_side_that_closes_flags_though_the_other_stays_hands_on() -> None:
    plan, now = snapshot(g.OPEN.client, ARMS), snapshot(RIGHT_ARM_CLOSED, ARMS)
    assert (plan.mode, plan.extent) == (Mode.HANDS_ON, HandsOnExtent.ALL)
    (flag,) = flag_if_narrowed(session(plan), now, "consent.recorded")
    assert (flag.was, flag.now, flag.extent) == (Mode.HANDS_ON, Mode.HANDS_ON, HandsOnExtent.PART)
    narrowed = narrowed_in(flag.narrowed, flag.reasons)
    assert {key[2] for key in narrowed} == {Side.RIGHT}
    assert {key[1] for key in narrowed} == set(Technique)
    assert all("consent" in reason.code for one in narrowed.values() for reason in one.reasons)


@pytest.mark.parametrize(
    ("programme", "flags"), [((ARM_RIGHT,), True), ((ARM_LEFT,), False), ((), True)]
)
def test_only_the_programme_and_what_was_planned_count(
    programme: tuple[ProgrammeStretch, ...], flags: bool
) -> None:
    plan, now = snapshot(g.OPEN.client, *programme), snapshot(RIGHT_ARM_CLOSED, *programme)
    assert bool(flag_if_narrowed(session(plan), now, "consent.recorded")) is flags


def test_what_was_planned_counts_though_the_client_is_not_on_it_any_more() -> None:
    plan, now = snapshot(g.OPEN.client, ARM_RIGHT), snapshot(RIGHT_ARM_CLOSED, ARM_LEFT)
    assert flag_if_narrowed(session(plan), now, "consent.recorded")


def test_what_the_client_is_on_since_counts_though_it_was_not_planned() -> None:
    plan, now = snapshot(g.OPEN.client, ARM_LEFT), snapshot(RIGHT_ARM_CLOSED, ARM_RIGHT)
    assert flag_if_narrowed(session(plan), now, "consent.recorded")


def test_the_summary_says_all_part_or_nothing() -> None:
    assert snapshot(g.OPEN.client, ARMS).extent is HandsOnExtent.ALL
    assert snapshot(RIGHT_ARM_CLOSED, ARMS).extent is HandsOnExtent.PART
    closed = snapshot(RIGHT_ARM_CLOSED, ARM_RIGHT)
    assert (closed.extent, closed.mode) == (HandsOnExtent.NOTHING, Mode.SELF_DIRECTED)
    assert closed.reasons, "why nothing is hands-on is said though other stretches would be"


def test_what_is_flagged_is_flagged_again_only_when_it_narrows_further() -> None:
    plan, now = snapshot(g.OPEN.client, ARMS), snapshot(RIGHT_ARM_CLOSED, ARMS)
    (flag,) = flag_if_narrowed(session(plan), now, "consent.recorded")
    stood = session(plan, flag)
    assert flag_if_narrowed(stood, now, "again") == []
    assert flag_if_narrowed(stood, plan, "consent.recorded") == [], "nothing widens by itself"
    nothing = snapshot(msgspec.structs.replace(g.OPEN.client, reviewed=None), ARMS)
    (further,) = flag_if_narrowed(stood, nothing, "history.reported")
    assert (further.now, further.extent) == (Mode.SELF_DIRECTED, HandsOnExtent.NOTHING)


def test_what_had_closed_for_the_day_does_not_open_for_self_directed_work_by_itself() -> None:
    clot = msgspec.structs.replace(g.HISTORY, conditions=(g.condition(ConditionKind.CLOT),))
    closed = snapshot(msgspec.structs.replace(g.OPEN.client, reviewed=clot), ARMS)
    plan = snapshot(g.OPEN.client, ARMS)
    (flag,) = flag_if_narrowed(session(plan), closed, "history.reported")
    assert flag.now is Mode.NOT_TODAY
    alone = snapshot(RIGHT_ARM_CLOSED, ARM_RIGHT)
    (again,) = flag_if_narrowed(session(plan, flag), alone, "consent.recorded")
    kept = narrowed_in(again.narrowed, again.reasons)
    assert again.now is Mode.NOT_TODAY
    assert {one.now for one in kept.values()} == {Mode.NOT_TODAY}
    assert kept.keys() == narrowed_in(flag.narrowed, flag.reasons).keys()
    assert {reason.code for one in kept.values() for reason in one.reasons} == {
        "clot.no_clearance",
        "consent.region",
    }, "what closes each of them now; nobody does an assisted technique alone"
    assert flag_if_narrowed(session(plan, again), alone, "settings") == []


def test_other_words_of_the_same_kind_of_reason_are_no_news() -> None:
    plan, now = snapshot(g.OPEN.client, ARMS), snapshot(RIGHT_ARM_CLOSED, ARMS)
    (flag,) = flag_if_narrowed(session(plan), now, "consent.recorded")
    later = msgspec.structs.replace(
        now,
        stretch_reasons=tuple(
            msgspec.structs.replace(one, text=f"{one.text} (a week later)")
            for one in now.stretch_reasons
        ),
    )
    assert flag_if_narrowed(session(plan, flag), later, "settings") == []


def test_a_session_planned_self_directed_loses_nothing_with_the_consent() -> None:
    plan = snapshot(g.OPEN.client, ARMS)
    alone = session(plan, planned_mode=Mode.SELF_DIRECTED)
    assert flag_if_narrowed(alone, snapshot(RIGHT_ARM_CLOSED, ARMS), "consent.recorded") == []


def test_a_session_planned_as_nothing_is_told_where_nobody_can_be() -> None:
    plan = snapshot(g.OPEN.client, ARMS)
    nothing = session(plan, planned_mode=Mode.NOT_TODAY)
    assert flag_if_narrowed(nothing, snapshot(RIGHT_ARM_CLOSED, ARMS), "settings") == []
    case = Assessment(
        facts=g.facts(programme=(ARMS,), place_bars=(PlaceBar.FACILITY_CLOSED,)),
        stretches=g.STRETCHES,
        settings=g.settings(),
    )
    closed = case.snapshot(case.planned(), provisional=True)
    (flag,) = flag_if_narrowed(nothing, closed, "settings")
    assert "facility.closed" in {one.code for one in flag.reasons}
    again = session(plan, flag, planned_mode=Mode.NOT_TODAY)
    assert flag_if_narrowed(again, closed, "settings") == []


def test_a_move_alone_opens_no_stretch_that_had_closed() -> None:
    plan, now = snapshot(g.OPEN.client, ARMS), snapshot(RIGHT_ARM_CLOSED, ARMS)
    (flag,) = flag_if_narrowed(session(plan), now, "consent.recorded")
    (kept,) = flag_kept(session(plan, flag), plan, Mode.HANDS_ON)
    assert (kept.cause, kept.extent) == ("consent.recorded", HandsOnExtent.PART)
    assert narrowed_in(kept.narrowed, kept.reasons) == narrowed_in(flag.narrowed, flag.reasons)
    assert flag_kept(session(plan, flag), now, Mode.HANDS_ON) == [], "the plan itself says so"


def test_without_a_catalogue_the_widest_mode_is_all_there_is() -> None:
    bare = PermissionsSnapshot(mode=Mode.HANDS_ON)
    closed = PermissionsSnapshot(mode=Mode.SELF_DIRECTED)
    (flag,) = flag_if_narrowed(session(bare), closed, "consent.withdrawn")
    assert isinstance(flag, SessionFlagged)
    assert flag_if_narrowed(session(bare), bare, "again") == []


def test_groups_keep_every_verdict_and_stay_small() -> None:
    case = Assessment(
        facts=g.OPEN, stretches=[shipped(code) for code in contents()], settings=g.settings()
    )
    evaluated = case.evaluated()
    groups, reasons = grouped(evaluated.stretch_permissions)
    back = ungrouped(groups, reasons)
    order = lambda one: (one.stretch, one.technique, one.side)  # noqa: E731
    assert sorted(back, key=order) == sorted(evaluated.stretch_permissions, key=order)
    assert len({(one.mode, one.reasons, one.limits) for one in groups}) <= len(groups)
    kept = msgspec.json.encode(case.snapshot(evaluated))
    plain = msgspec.json.encode(evaluated.stretch_permissions)
    assert len(kept) < len(plain) / 5


def test_sets_name_exactly_their_keys() -> None:
    keys = {
        ("a", Technique.PASSIVE, Side.LEFT),
        ("a", Technique.PASSIVE, Side.RIGHT),
        ("b", Technique.PASSIVE, Side.LEFT),
        ("b", Technique.ACTIVE_ISOLATED, Side.RIGHT),
    }
    found = [key for some in stretch_sets(keys) for key in some.each()]
    assert sorted(found) == sorted(keys)


def test_a_snapshot_gives_its_verdicts_back() -> None:
    kept = verdicts_in(snapshot(RIGHT_ARM_CLOSED, ARMS))
    assert kept[g.FLEXION.code, g.AI, Side.RIGHT].mode is Mode.SELF_DIRECTED
    assert kept[g.FLEXION.code, g.AI, Side.LEFT].mode is Mode.HANDS_ON
