"""The catalogue as it ships: complete, usable, and with doses that are usual."""

from __future__ import annotations

import json

import pytest

from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Rejected
from practice.core.terms import Movement, Region, Side, Technique
from sessions.catalogue.domain.content import catalogue_content, stretch_spec
from sessions.stretches.domain.prescribing import CatalogueFacts, prescribing_warnings
from tests.sessions.shipped import DOSES, FIXTURES

RAW = json.loads((FIXTURES / "stretches.json").read_text())
CATALOGUE = {code: catalogue_content(raw) for code, raw in RAW.items()}


def tagged(tag):
    return {code for code, one in CATALOGUE.items() if tag in one.tags}


def test_every_kind_of_stretch_that_the_practice_uses_is_there():
    assert set(CATALOGUE) >= {
        "chest_arms_out",
        "chest_hands_behind_head",
        "arms_overhead_v",
        "shoulder_blades_back_and_down",
        "cross_body",
        "triceps",
        "abduction_pattern",
        "flexion_pattern",
        "extension_pattern",
        "external_rotation_lying",
        "internal_rotation_lying",
        "chin_to_chest",
        "ear_to_shoulder",
        "ear_to_shoulder_chin_up",
        "chin_to_armpit",
        "hip_flexors",
        "standing_erect",
        "lower_back",
        "abdominal_strengthening",
        "pelvic_tilts",
        "curls",
        "breathing",
    }


def test_preparation_is_tilts_curls_and_breathing():
    assert tagged(StretchTag.PREPARATION) == {"pelvic_tilts", "curls", "breathing"}


@pytest.mark.parametrize("code", CATALOGUE)
def test_a_stretch_says_all_that_a_practitioner_must_know(code):
    one = CATALOGUE[code]
    assert one.position
    assert one.how
    assert one.cues
    assert one.cautions
    assert one.cannot_get_into_position
    assert one.helps
    assert one.helps_after
    assert one.gaze
    assert one.doses
    assert set(one.instead) <= set(CATALOGUE)
    assert code not in one.instead


@pytest.mark.parametrize("code", CATALOGUE)
def test_default_doses_are_usual(code):
    assert (
        prescribing_warnings(CATALOGUE[code].doses, CatalogueFacts(CATALOGUE[code], 1, DOSES)) == []
    )


@pytest.mark.parametrize("code", CATALOGUE)
def test_hands_on_techniques_have_a_contact(code):
    one = CATALOGUE[code]
    assisted = {Technique.PASSIVE, Technique.CONTRACT_RELAX} & set(one.techniques)
    assert bool(one.contacts) or not assisted


def contacts(code):
    return {(c.region, c.kind.value, c.side.value) for c in CATALOGUE[code].contacts}


def test_supporting_contacts_are_counted():
    # Common practice: a leg behind the back, a hand on the opposite shoulder.
    assert (Region.UPPER_BACK, "leg", "both") in contacts("chest_hands_behind_head")
    assert (Region.UPPER_BACK, "leg", "both") in contacts("cross_body")
    assert (Region.SHOULDER, "supporting", "opposite") in contacts("cross_body")
    assert (Region.SHOULDER, "supporting", "opposite") in contacts("triceps")
    for code in ("ear_to_shoulder", "ear_to_shoulder_chin_up", "chin_to_armpit"):
        assert (Region.SHOULDER, "hand", "same") in contacts(code)


def test_palms_are_as_the_trade_has_them():
    # Common practice, no source.
    assert CATALOGUE["chest_arms_out"].palm == "down"
    assert CATALOGUE["abduction_pattern"].palm == "forward"
    assert CATALOGUE["flexion_pattern"].palm == "to the body"
    assert CATALOGUE["extension_pattern"].palm == "to the body"


def test_two_armed_stretches_take_both_sides_and_midline_ones_are_done_once():
    for code, one in CATALOGUE.items():
        sides = stretch_spec(one, code=code, version=1).sides
        both = one.two_armed or not one.sided
        assert sides == ((Side.BOTH,) if both else (Side.LEFT, Side.RIGHT))
    assert CATALOGUE["chest_arms_out"].two_armed
    assert not CATALOGUE["chin_to_chest"].sided


def test_chest_stretches_serve_rounded_shoulders_and_patterns_their_movement():
    assert tagged(StretchTag.CHEST) == {"chest_arms_out", "chest_hands_behind_head"}
    assert CATALOGUE["extension_pattern"].movements == (Movement.SHOULDER_EXTENSION,)
    assert (
        tagged(StretchTag.PATTERN) >= tagged(StretchTag.ABDUCTION_PATTERN) == {"abduction_pattern"}
    )


def test_the_spec_carries_contacts_pulls_needs_and_the_version():
    made = stretch_spec(CATALOGUE["triceps"], code="triceps", version=4)
    assert (made.version, made.code) == (4, "triceps")
    assert made.needs[0].degrees == 120
    assert {p.region for p in made.pulls} == {Region.ARM, Region.CHEST, Region.SHOULDER}
    assert StretchTag.TRICEPS in made.tags


@pytest.mark.parametrize(
    "broken",
    [{"name": 1}, {"region": "wing"}, {"colour": "red"}, {"doses": [{"technique": "magic"}]}],
)
def test_content_that_is_no_stretch_is_refused_with_the_place(broken):
    with pytest.raises(Rejected) as caught:
        catalogue_content({**RAW["triceps"], **broken})
    assert (caught.value.status, list(caught.value.fields)) == (400, ["content"])


def test_content_that_lacks_its_position_is_refused():
    less = {k: v for k, v in RAW["triceps"].items() if k != "position"}
    with pytest.raises(Rejected) as caught:
        catalogue_content(less)
    assert "position" in caught.value.detail
