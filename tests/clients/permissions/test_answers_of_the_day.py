"""The day's answers: red flags, pain, swelling, fatigue, and a session that was stopped."""

from __future__ import annotations

import msgspec
import pytest

from clients.health.domain.terms import ConditionKind, Limb, RedFlag
from clients.permissions.domain.inputs import PainFreeHeight, StopFacts, SwollenLimb
from practice.core.reasons import GENERAL_HEALTH_REASON, readable_by
from practice.core.terms import Mode, Region, Role, Side
from tests.clients.permissions import given as g

replace = msgspec.structs.replace


@pytest.mark.parametrize(
    ("answers", "flag"),
    [
        # 38.0 degrees Celsius is 100.4 degrees Fahrenheit: practice policy.
        ({"temperature": 38.0}, RedFlag.FEVER),
        ({"fever": True}, RedFlag.FEVER),
        ({"pain": 7}, RedFlag.REST_PAIN),
        *(
            ({"signs": (sign,)}, sign)
            for sign in RedFlag
            if sign not in (RedFlag.NEW_SWELLING, RedFlag.FEVER)
        ),
    ],
)
def test_a_red_flag_means_not_today_and_says_whom_to_refer_to(
    answers: dict[str, object], flag: RedFlag
) -> None:
    permissions = g.evaluated(g.facts(arrival=g.arrival(**answers)))
    assert {v.mode for v in permissions.stretch_permissions} == {Mode.NOT_TODAY}
    assert permissions.refer_to == (g.settings().refer_to[flag],)
    assert not permissions.loading


@pytest.mark.parametrize("answers", [{"signs": (RedFlag.CHEST_PAIN,)}, {"pain": 9}])
def test_a_red_flag_tells_the_desk_to_fetch_the_practitioner_and_not_which_sign_it_was(
    answers: dict[str, object],
) -> None:
    # Practice policy: the desk types the answers, so it is the desk that must act.
    permissions = g.evaluated(g.facts(arrival=g.arrival(**answers)))
    shown = readable_by(Role.FRONT_DESK, permissions.reasons)
    [fetch] = [reason for reason in shown if reason.code == "arrival.fetch_practitioner"]
    assert "emergency number first" in fetch.text
    assert "home alone" in fetch.text
    assert not any(reason.code.startswith("red_flag.") for reason in shown)
    assert "arrival.fetch_practitioner" not in g.codes(g.evaluated(g.OPEN))


def test_new_swelling_of_a_limb_fetches_the_practitioner_too_and_rests_that_limb_alone() -> None:
    known = g.facts(arrival=g.arrival(swelling=(SwollenLimb(limb=Limb.ARM, side=Side.LEFT),)))
    warned = readable_by(Role.FRONT_DESK, g.evaluated(known).warnings)
    assert [warning.code for warning in warned] == ["arrival.fetch_practitioner"]
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.HANDS_ON


def test_the_general_health_reason_does_not_claim_that_the_practitioner_knows() -> None:
    assert GENERAL_HEALTH_REASON.text == "A health reason stands against it; ask the practitioner."


def test_just_below_the_numbers_there_is_no_red_flag() -> None:
    assert (
        g.evaluated(g.facts(arrival=g.arrival(temperature=37.9)), g.FLEXION).mode is Mode.HANDS_ON
    )
    assert g.stretch_permission(g.facts(arrival=g.arrival(pain=6)), g.FLEXION).mode is Mode.HANDS_ON


def test_pain_three_over_the_usual_is_a_red_flag_where_the_usual_is_known() -> None:
    usual = g.history(usual_pain=2)
    at_five = g.arrival(pain=5)
    assert g.evaluated(g.facts(reviewed=usual, arrival=at_five)).mode is Mode.NOT_TODAY
    assert g.evaluated(g.facts(reviewed=usual, arrival=g.arrival(pain=4))).mode is Mode.HANDS_ON
    assert g.evaluated(g.facts(arrival=at_five)).mode is Mode.HANDS_ON, "unknown: only 7 counts"


def test_where_two_histories_differ_the_lower_usual_pain_counts() -> None:
    for first, second in ((1, 5), (5, 1)):
        known = g.facts(
            reviewed=g.history(usual_pain=first),
            reported=(g.history(usual_pain=second),),
            arrival=g.arrival(pain=5),
        )
        assert g.evaluated(known).mode is Mode.NOT_TODAY


def test_with_pain_of_four_to_six_active_isolated_only() -> None:
    known = g.facts(arrival=g.arrival(pain=4))
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.HANDS_ON
    for technique in (g.CR, g.PASSIVE):
        assert g.stretch_permission(known, g.FLEXION, technique).mode is Mode.NOT_TODAY
    assert (
        g.stretch_permission(g.facts(arrival=g.arrival(pain=3)), g.FLEXION, g.CR).mode
        is Mode.HANDS_ON
    )


def test_new_swelling_rests_that_limb_and_refers() -> None:
    swollen = (SwollenLimb(limb=Limb.ARM, side=Side.LEFT),)
    known = g.facts(arrival=g.arrival(swelling=swollen))
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.CHEST).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.HAMSTRINGS).mode is Mode.HANDS_ON
    assert g.evaluated(known).refer_to == (g.settings().refer_to[RedFlag.NEW_SWELLING],)


def test_a_shoulder_that_pinches_comes_down_to_the_days_pain_free_height() -> None:
    # Common practice, no source.
    known_height = PainFreeHeight(side=Side.LEFT, pinches=True, degrees=80)
    known = g.facts(arrival=g.arrival(shoulders=(known_height,)))
    for stretch in (g.CHEST, g.V, g.TRICEPS, g.FLEXION, g.ABDUCTION):
        assert set(g.degrees(g.stretch_permission(known, stretch)).values()) == {80}
    assert g.degrees(g.stretch_permission(known, g.FLEXION, side=Side.RIGHT)) == {}
    unknown = g.facts(arrival=g.arrival(shoulders=(replace(known_height, degrees=None),)))
    for stretch in (g.CHEST, g.V, g.TRICEPS):
        assert g.stretch_permission(unknown, stretch).mode is Mode.NOT_TODAY
    below_the_arc = g.stretch_permission(unknown, g.FLEXION)
    assert below_the_arc.mode is Mode.SELF_DIRECTED


def test_fatigue_warns_and_forbids_nothing() -> None:
    permissions = g.evaluated(g.facts(arrival=g.arrival(fatigue=7)))
    assert [w.code for w in permissions.warnings] == ["arrival.fatigue"]
    assert permissions.mode is Mode.HANDS_ON


def test_a_stop_ends_touch_or_the_session_for_what_comes_after() -> None:
    touch = g.evaluated(g.facts(stop=StopFacts(minute=25)))
    assert touch.mode is Mode.SELF_DIRECTED
    assert any("minute 25" in reason.text for reason in touch.reasons)
    assert g.evaluated(g.facts(stop=StopFacts(minute=25, everything=True))).mode is Mode.NOT_TODAY


def test_a_session_gives_the_reasons_of_its_verdicts_only_where_nothing_is_hands_on() -> None:
    cord = g.condition(ConditionKind.CORDING, g.site(Region.ARM, Side.LEFT))
    known = g.facts(reviewed=g.history(conditions=(cord,)))
    assert "cording.technique" not in g.codes(g.evaluated(known))
    declined = g.evaluated(g.facts(known, arrival=g.arrival(hands_on_today=False)))
    assert "cording.technique" in g.codes(declined)


def test_a_judgement_names_the_versions_it_was_made_with() -> None:
    versions = g.evaluated(g.OPEN).versions
    assert (versions.settings, versions.record, versions.catalogue) == (1, 7, 1)
    assert versions.rules >= 1
    assert versions.consent_id == g.CONSENT.consent_id
    assert versions.limit_rows == (g.ALLOWED.id,)
