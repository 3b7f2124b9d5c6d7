"""The point of each of the thirteen worked clients of ``worked_lines.py``."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from clients.clinical.domain.limbs import LoadedLimb
from clients.permissions.domain.inputs import DayQuestion, PermissionFacts
from clients.permissions.domain.results import HandsOnExtent
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side
from tests.clients.permissions import given as g
from tests.clients.permissions import worked_lines as lines

replace = msgspec.structs.replace
HANDS, ALONE, NOT = Mode.HANDS_ON, Mode.SELF_DIRECTED, Mode.NOT_TODAY
LEFT_ARM, TRUNK = LoadedLimb.LEFT_ARM, LoadedLimb.TRUNK


def codes(reasons: Iterable[Reason]) -> set[str]:
    return {one.code for one in reasons}


def load(known: PermissionFacts) -> dict[LoadedLimb, set[str]]:
    """What closes each limb; empty for an open one."""
    found = g.evaluated(known).load
    assert all(one.open is not bool(one.reasons) for one in found)
    return {one.limb: codes(one.reasons) for one in found}


def test_1_what_closes_a_stretch_closes_the_load_of_its_region() -> None:
    """Ruling 53: a clearance of the wrong site lifts nothing; fragile bone spares the trunk."""
    known = lines.line_1()
    assert "load.metastasis" in load(known)[LEFT_ARM]
    assert load(known)[TRUNK] == {"load.fragile_trunk"}
    assert load(known)[LoadedLimb.RIGHT_ARM] == load(known)[LoadedLimb.LEFT_LEG] == set()
    assert g.stretch_permission(known, g.TRICEPS, side=Side.LEFT).mode is NOT


def test_2_weeks_after_a_pelvic_operation_a_donor_incision_and_an_expander() -> None:
    """Ruling 52."""
    known = lines.line_2()
    curls = g.stretch_permission(known, g.CURLS)
    assert curls.mode is NOT
    assert "abdomen.curls_weeks" in g.codes(curls)
    for stretch in (g.CROSS_BODY, g.CHEST):
        assert "surgery.donor_incision" in g.codes(g.stretch_permission(known, stretch))
    for stretch in (g.V, g.FLEXION, g.TRICEPS):
        side = stretch.sides[0]
        assert "surgery.expander" in g.codes(g.stretch_permission(known, stretch, g.CR, side))


def test_3_a_session_is_as_wide_as_its_programme_and_says_how_much() -> None:
    """Ruling 48: an untouched limb does not hide what closed."""
    found = g.evaluated(lines.line_3())
    assert (found.mode, found.extent) == (HANDS, HandsOnExtent.PART)
    assert {(one.stretch, one.side) for one in found.closed()} == {("flexion", Side.RIGHT)}


def test_4_a_red_flag_is_not_unsaid_by_later_answers() -> None:
    """Ruling 49."""
    found = g.evaluated(lines.line_4())
    assert found.mode is NOT
    assert {"red_flag.chest_pain", "arrival.words_unreviewed"} <= codes(found.reasons)
    assert found.refer_to
    assert all(one.mode is NOT for one in found.stretch_permissions)
    assert not any(one.open for one in found.load)


def test_5_free_words_counts_port_and_skin_have_an_effect() -> None:
    """Ruling 51."""
    found = g.evaluated(lines.line_5())
    assert found.mode is ALONE
    assert set(found.questions) == set(DayQuestion)
    chest = g.stretch_permission(lines.line_5(), g.CHEST_ONE_ARM, side=Side.RIGHT)
    assert {"port.ask", "skin.not_seen_today"} <= g.codes(chest)
    assert all("blood.platelets_load" in why for why in load(lines.line_5()).values())


def test_6_an_operation_counts_from_its_own_day_however_late_it_was_told() -> None:
    """Ruling 47."""
    known = lines.line_6()
    assert known.client.reported == (), "it stands in the history of then, as a fact of its day"
    passive = g.stretch_permission(known, g.FLEXION, g.PASSIVE)
    assert (passive.mode, g.stretch_permission(g.OPEN, g.FLEXION, g.PASSIVE).mode) == (NOT, HANDS)
    assert "surgery.weeks" in g.codes(passive)
    assert "load.weeks" in load(known)[LEFT_ARM]


def test_7_a_withdrawal_counts_from_when_it_was_said_in_every_consent() -> None:
    """Ruling 46."""
    found = g.evaluated(lines.line_7())
    assert found.mode is ALONE
    assert "consent.suspended" in codes(found.reasons)


def test_8_the_session_may_stop_after_touch_did() -> None:
    """Ruling 30: what comes after touch stopped is alone, after the session nothing."""
    known = lines.line_8()
    assert known.stop is not None
    assert g.evaluated(known).mode is NOT
    touch = replace(known, stop=replace(known.stop, minute=20, everything=False))
    assert g.evaluated(touch).mode is ALONE


def test_9_a_minor_does_not_sign_alone_and_a_planned_operation_waits_for_a_review() -> None:
    """Rulings 47 and 56."""
    found = g.evaluated(lines.line_9())
    assert found.mode is ALONE
    assert {"consent.minor", "surgery.planned"} <= codes(found.reasons)
    assert "consent.language" in codes(found.warnings)


def test_10_what_was_measured_narrows_load_and_warns() -> None:
    """Ruling 53; what a loss of range prompts is in the tests of stretches (ruling 54)."""
    known = lines.line_10()
    assert load(known)[LEFT_ARM]
    assert load(known)[LoadedLimb.RIGHT_ARM] == set()
    stable = replace(known, growing_limbs=(), watched_limbs=())
    assert load(stable)[LEFT_ARM] == set(), "lymphedema alone closes no load"
    flexion = g.stretch_permission(known, g.FLEXION, side=Side.LEFT)
    assert "swelling.watched" in codes(flexion.cautions)


def test_11_where_tilts_and_curls_are_closed_breathing_is_open() -> None:
    """Ruling 52: the plan asks for permitted preparation only."""
    known = lines.line_11()
    assert {g.stretch_permission(known, one).mode for one in (g.TILTS, g.CURLS)} == {NOT}
    assert g.stretch_permission(known, g.BREATHING).mode is ALONE
    assert load(known)[TRUNK]


def test_12_a_verdict_names_what_it_rests_on_at_its_revision() -> None:
    """Rulings 24 and 55: supervision by whom the table does not entitle is none."""
    found = g.evaluated(lines.line_12())
    assert found.mode is ALONE
    assert "law.supervision" in codes(found.reasons)
    kinds = {(one.kind.value, one.id.int, one.revision) for one in found.versions.rows}
    assert {("licence", 31, 1), ("supervision", 35, 4), ("limit", 41, 2)} <= kinds
    known = lines.line_12()
    assert known.supervision is not None
    entitled = replace(known, supervision=replace(known.supervision, entitled=True))
    assert g.evaluated(entitled).mode is HANDS


def test_13_assistants_are_credentials_and_reasons_of_law_say_when_they_were_verified() -> None:
    """Ruling 24; an explicit wish for hands-on is in the tests of booking (ruling 45)."""
    found = g.evaluated(lines.line_13())
    (reason,) = [one for one in found.reasons if one.code == "law.supervision"]
    assert reason.source == "a test's own law. Verified on 2026-02-01."
    assert "physical therapist assistant" in reason.text


def test_there_is_one_for_each_line() -> None:
    assert [one.__name__ for one in lines.LINES] == [f"line_{n}" for n in range(1, 14)]
    assert all(one.__doc__ for one in lines.LINES)
