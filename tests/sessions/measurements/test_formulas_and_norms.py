"""Measurement error and norms against their published figures."""

from __future__ import annotations

import pytest

from practice.core.terms import Instrument, Movement
from sessions.measurements.domain.measurement_error import (
    detectable_change,
    standard_error,
    threshold,
)
from sessions.measurements.domain.norms import find_norm
from tests.sessions.shipped import MEASUREMENT, norms, rows


def test_standard_error_of_measurement_is_sd_times_root_of_one_minus_icc():
    # Standard formula: SEM = SD·√(1 − ICC). SD 10, ICC 0.91 -> 10·0.3 = 3.
    assert standard_error(10, 0.91) == pytest.approx(3.0)


@pytest.mark.parametrize(("sem", "mdc95"), [(3.0, 8.4), (7.5, 20.8)])
def test_detectable_change_agrees_with_rasmussen_2020(sem, mdc95):
    # Rasmussen 2020, PLoS One 15(6):e0234118, as printed: SEM 3.0–7.5°, MDC95 8.4–20.8°.
    # Each comes from a SEM before it was rounded: what was printed lies between what
    # the smallest and the greatest SEM give that round to the printed one.
    assert detectable_change(sem - 0.05) < mdc95 < detectable_change(sem + 0.05)


def test_detectable_change_at_95_percent_uses_1_96():
    # Standard formula: MDC95 = 1.96·√2·SEM; from the rounded SEM of 3.0 it is 8.3, not 8.4.
    assert detectable_change(3.0) == pytest.approx(8.3156, abs=1e-4)


def test_detectable_change_at_90_percent_uses_1_645():
    # Standard formula: MDC90 = 1.645·√2·SEM.
    assert detectable_change(1.0, 90) == pytest.approx(2.3264, abs=1e-4)


def test_thresholds_are_nine_degrees_for_one_rater_and_twenty_for_two():
    # Practice policy, informed by Rasmussen 2020 and de Winter 2004.
    assert threshold(Instrument.GONIOMETER, same_rater=True, settings=MEASUREMENT)[0] == 9
    assert threshold(Instrument.GONIOMETER, same_rater=False, settings=MEASUREMENT)[0] == 20


def test_an_instrument_without_figures_is_not_judged_by_anothers():
    assert threshold(Instrument.ESTIMATE, same_rater=True, settings=MEASUREMENT) is None


# Norkin & White, Measurement of Joint Motion, appendix table.
PUBLISHED = {
    "AAOS": (180, 60, 180, 70, 90),
    "AMA": (180, 50, 170, 80, 60),
    "Boone & Azen 1979": (167, 62, 184, 69, 104),
    "Walker": (165, 44, 165, 62, 81),
    "Macedo & Magee": (188, 70, 188, 94, 108),
}
SHOULDER = (
    Movement.SHOULDER_FLEXION,
    Movement.SHOULDER_EXTENSION,
    Movement.SHOULDER_ABDUCTION,
    Movement.SHOULDER_INTERNAL_ROTATION,
    Movement.SHOULDER_EXTERNAL_ROTATION,
)
PERSON = {"Boone & Azen 1979": (40, "male"), "Walker": (70, None), "Macedo & Magee": (40, "female")}


@pytest.mark.parametrize("edition", PUBLISHED)
def test_shoulder_norms_are_those_of_norkin_and_white(edition):
    age, sex = PERSON.get(edition, (None, None))
    found = [find_norm(norms(), m, edition=edition, age=age, sex=sex) for m in SHOULDER]
    assert tuple(n.degrees for n in found) == PUBLISHED[edition]
    assert all("Norkin & White" in n.source for n in found)


@pytest.mark.parametrize(
    ("age", "sex", "mean"),
    [(30, "female", 172.0), (30, "male", 168.8), (60, "female", 168.1), (60, "male", 164.0)],
)
def test_cdc_norms_are_the_published_means_rounded(age, sex, mean):
    # Soucie et al., Haemophilia 2011;17:500–7 (the two younger groups from memory).
    norm = find_norm(norms(), Movement.SHOULDER_FLEXION, edition="CDC 2011", age=age, sex=sex)
    assert norm.degrees == round(mean)
    assert norm.motion == "passive"


def test_a_norm_for_an_age_or_sex_is_not_given_to_a_person_of_unknown_age():
    assert find_norm(norms(), Movement.SHOULDER_FLEXION, edition="Walker") is None
    assert find_norm(norms(), Movement.SHOULDER_FLEXION, edition="Walker", age=64) is None


def test_every_published_norm_lies_within_the_usual_and_the_possible_range():
    for norm in norms():
        low, high = MEASUREMENT.usual[norm.movement]
        least, most = MEASUREMENT.possible[norm.movement]
        assert least <= low <= norm.degrees <= high <= most, norm


def test_every_movement_has_a_possible_and_a_usual_range():
    assert set(MEASUREMENT.possible) == set(MEASUREMENT.usual) == set(Movement)


@pytest.mark.parametrize("group", ["measurement", "rechecks", "doses", "swelling", "session_split"])
def test_every_setting_says_what_it_is_and_where_it_is_from(group):
    for key, row in rows(group).items():
        assert set(row) - {"minimum", "maximum"} == {"value", "unit", "about", "citation"}, key
        assert row["about"], key
        assert row["citation"], key
