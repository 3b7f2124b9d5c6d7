"""What the client's consent leaves open to touch, and the day's own yes."""

from __future__ import annotations

from datetime import date

import msgspec
import pytest

from clients.consent.domain.terms import ConsentStatus
from clients.permissions.domain.inputs import ArrivalAnswers
from practice.core.terms import Gender, Mode, Region, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import OTHER

replace = msgspec.structs.replace


def test_everything_may_be_done_by_hand_where_nothing_stands_against_it() -> None:
    permissions = g.evaluated(g.OPEN)
    assert permissions.mode is Mode.HANDS_ON
    touched = [
        v
        for v in permissions.stretch_permissions
        if v.stretch not in ("tilts", "curls", "breathing")
    ]
    assert {v.mode for v in touched} == {Mode.HANDS_ON}
    assert not any(v.reasons for v in touched)
    assert not permissions.provisional


@pytest.mark.parametrize(
    ("consent", "code"),
    [
        (replace(g.CONSENT, status=ConsentStatus.NONE), "consent.none"),
        (replace(g.CONSENT, status=ConsentStatus.DECLINED), "consent.declined"),
        (replace(g.CONSENT, status=ConsentStatus.WITHDRAWN), "consent.withdrawn"),
        (replace(g.CONSENT, until=date(2026, 3, 1)), "consent.expired"),
        (replace(g.CONSENT, until=None), "consent.no_end"),
        (replace(g.CONSENT, given_on=date(2026, 3, 3)), "consent.not_yet"),
        (replace(g.CONSENT, practitioner_ids=(OTHER,)), "consent.other_person"),
        (replace(g.CONSENT, gender=Gender.MAN), "consent.other_person"),
    ],
)
def test_without_a_consent_that_counts_that_day_nothing_is_hands_on(
    consent: object, code: str
) -> None:
    permissions = g.evaluated(g.facts(consent=consent))
    assert permissions.mode is Mode.SELF_DIRECTED
    assert permissions.planned is Mode.SELF_DIRECTED
    assert code in g.codes(permissions)
    assert not any(v.mode is Mode.HANDS_ON for v in permissions.stretch_permissions)


def test_consent_counts_on_its_first_and_its_last_day() -> None:
    for day in (g.CONSENT.given_on, g.CONSENT.until):
        assert g.evaluated(g.facts(day=day), g.FLEXION).mode is Mode.HANDS_ON


def test_a_stretch_needs_consent_for_every_region_it_touches_supporting_contacts_too() -> None:
    no_back = replace(
        g.CONSENT, sites=tuple(s for s in g.CONSENT.sites if s.region is not Region.UPPER_BACK)
    )
    chest = g.stretch_permission(g.facts(consent=no_back), g.CHEST)
    assert (chest.mode, g.codes(chest)) == (Mode.SELF_DIRECTED, {"consent.region"})
    assert "upper back" in chest.reasons[0].text
    assert g.stretch_permission(g.facts(consent=no_back), g.FLEXION).mode is Mode.HANDS_ON


def test_consent_for_one_side_covers_that_side_only() -> None:
    left = replace(
        g.CONSENT,
        sites=(g.site(Region.ARM, Side.LEFT), g.site(Region.UPPER_BACK)),
    )
    known = g.facts(consent=left)
    assert g.stretch_permission(known, g.FLEXION, side=Side.LEFT).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.FLEXION, side=Side.RIGHT).mode is Mode.SELF_DIRECTED
    assert g.stretch_permission(known, g.CHEST).mode is Mode.SELF_DIRECTED, (
        "two-armed takes the worse side"
    )
    # A hand on the opposite shoulder is touch on the other side.
    assert "consent.region" in g.codes(g.stretch_permission(known, g.TRICEPS, side=Side.LEFT))


def test_consent_for_left_and_for_right_is_consent_for_both() -> None:
    sites = tuple(
        g.site(region, side)
        for region in (Region.ARM, Region.UPPER_BACK)
        for side in (Side.LEFT, Side.RIGHT)
    )
    assert g.stretch_permission(g.facts(consent=replace(g.CONSENT, sites=sites)), g.CHEST).mode is (
        Mode.HANDS_ON
    )


def test_a_session_says_in_one_reason_what_consent_and_sign_off_leave_open() -> None:
    sites = tuple(
        s for s in g.CONSENT.sites if s.region not in (Region.HEAD_AND_NECK, Region.ARM, Region.LEG)
    )
    narrow = replace(
        g.CONSENT, sites=(*sites, g.site(Region.ARM, Side.RIGHT)), techniques=(g.PASSIVE,)
    )
    novice = replace(g.THERAPIST, competences=())
    known = g.facts(consent=narrow, practitioner=novice, arrival=g.arrival(hands_on_today=False))
    permissions = g.evaluated(known)
    texts: dict[str, list[str]] = {}
    for reason in permissions.reasons:
        texts.setdefault(reason.code, []).append(reason.text)
    assert texts["consent.region"] == [
        "The touch consent does not cover: left arm, head and neck, leg."
    ]
    assert texts["consent.technique"] == [
        "The touch consent does not name: active isolated, contract-relax."
    ]
    assert texts["competence.technique"] == [
        "The practitioner is not signed off in: active isolated, contract-relax, passive."
    ]
    chest = {r.code: r.text for r in g.stretch_permission(known, g.CHEST, g.CR).reasons}
    assert chest["consent.region"] == "The touch consent does not cover the left arm."
    assert "contract-relax" in chest["consent.technique"]
    assert not any(
        "contract relax" in reason.text
        for v in permissions.stretch_permissions
        for reason in v.reasons
    )


def test_both_arms_at_once_touch_both_sides_wherever_a_contact_lies() -> None:
    both = replace(g.TRICEPS, two_armed=True)
    for side in (Side.LEFT, Side.RIGHT):
        sites = (g.site(Region.ARM), g.site(Region.SHOULDER, side))
        known = g.facts(consent=replace(g.CONSENT, sites=sites))
        assert "consent.region" in g.codes(g.stretch_permission(known, both))


def test_a_technique_outside_the_consent_is_not_done_and_active_isolated_is_offered() -> None:
    narrow = replace(g.CONSENT, techniques=(g.AI,))
    passive = g.stretch_permission(g.facts(consent=narrow), g.FLEXION, g.PASSIVE)
    assert passive.mode is Mode.NOT_TODAY
    assert g.codes(passive) == {"consent.technique", "technique.not_alone"}
    assert passive.offered_instead is g.AI
    assert g.stretch_permission(g.facts(consent=narrow), g.FLEXION).mode is Mode.HANDS_ON


def test_a_support_person_or_interpreter_must_be_there() -> None:
    consent = replace(g.CONSENT, support_person=True, interpreter=True)
    there = g.arrival(companion_present=True, interpreter_present=True)
    assert g.evaluated(g.facts(consent=consent, arrival=there), g.FLEXION).mode is Mode.HANDS_ON
    alone = g.evaluated(g.facts(consent=consent, arrival=replace(there, companion_present=False)))
    assert alone.planned is Mode.SELF_DIRECTED
    assert "consent.support_person" in g.codes(alone)
    unknown = g.evaluated(g.facts(consent=consent), g.FLEXION)
    assert (unknown.mode, unknown.planned) == (Mode.SELF_DIRECTED, Mode.HANDS_ON)
    assert unknown.provisional


def test_a_consent_that_ends_within_the_practices_days_is_a_warning() -> None:
    soon = replace(g.CONSENT, until=date(2026, 4, 1))
    assert [w.code for w in g.evaluated(g.facts(consent=soon)).warnings] == ["consent.ends_soon"]
    assert not g.evaluated(g.facts(consent=replace(soon, until=date(2026, 4, 2)))).warnings


def test_a_standing_consent_is_not_todays_yes() -> None:
    unasked = g.evaluated(g.facts(arrival=None), g.FLEXION)
    assert (unasked.mode, unasked.planned, unasked.provisional) == (
        Mode.SELF_DIRECTED,
        Mode.HANDS_ON,
        True,
    )
    assert "arrival.not_answered" in g.codes(unasked)
    no = g.evaluated(g.facts(arrival=g.arrival(hands_on_today=False)), g.FLEXION)
    assert (no.mode, no.planned, no.provisional) == (
        Mode.SELF_DIRECTED,
        Mode.SELF_DIRECTED,
        False,
    )
    half = g.evaluated(g.facts(arrival=ArrivalAnswers(hands_on_today=True)), g.FLEXION)
    assert (half.mode, half.planned) == (Mode.SELF_DIRECTED, Mode.HANDS_ON)
    assert any("pain, fever, swelling, new symptoms" in r.text for r in half.reasons)
