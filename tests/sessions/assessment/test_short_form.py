"""The short form of permissions: it never disagrees with the long one, it is short, and its
headline says the worst of what lies beneath (issue 7, section D)."""

from __future__ import annotations

import os
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clients.health.domain.content import RangeLimit
from clients.permissions.domain.evaluation import evaluate
from clients.permissions.domain.inputs import PermissionFacts, ProgrammeStretch
from clients.permissions.domain.results import MODE_WIDTH, SessionPermissions
from clients.preference.domain.state import ProviderPreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import Mode, Movement, Role, Side, Technique
from sessions.assessment.domain.day_answers import DayAnswers
from sessions.assessment.serializers import serialize_session_permissions
from sessions.assessment.short_rendering import serialize_short_permissions
from tests.clients.permissions import chapters, strategies
from tests.clients.permissions import given as g
from tests.clients.permissions.shipped import contents, shipped
from tests.clients.permissions.test_worked_clients import CLIENTS
from tests.sessions.assessment.short import (
    LARGEST_BYTES,
    long_verdicts,
    never_done,
    of_others,
    of_programme,
    plain,
    size,
    spoken,
)

replace = msgspec.structs.replace
FULL = os.environ.get("PRACTICE_FULL_HARNESS") == "1"
EXAMPLES = settings(max_examples=1000 if FULL else 40, deadline=None)
CATALOGUE = [shipped(code) for code in contents()]
NAMES = {code: content.name for code, content in contents().items()}
ALL = tuple(Technique)

programmes = st.lists(
    st.builds(
        ProgrammeStretch,
        stretch=st.sampled_from([one.code for one in g.STRETCHES]),
        techniques=st.lists(st.sampled_from(ALL), min_size=1, max_size=3).map(tuple),
        side=st.sampled_from(list(Side)),
    ),
    max_size=4,
).map(tuple)
PROGRAMME = (
    ProgrammeStretch(stretch="abduction_pattern", techniques=ALL, side=Side.LEFT),
    ProgrammeStretch(
        stretch="flexion_pattern", techniques=(Technique.ACTIVE_ISOLATED,), side=Side.LEFT
    ),
    ProgrammeStretch(stretch="curls", techniques=(Technique.ACTIVE_ISOLATED,), side=Side.BOTH),
)


def short_of(evaluated: SessionPermissions, role: Role = Role.PRACTITIONER) -> Any:
    return serialize_short_permissions(role, evaluated, DayAnswers(), NAMES)


def long_of(evaluated: SessionPermissions, role: Role = Role.PRACTITIONER) -> Any:
    return serialize_session_permissions(role, evaluated)


@EXAMPLES
@given(chapters.facts(), programmes)
def test_short_and_long_never_disagree(
    known: PermissionFacts, programme: tuple[ProgrammeStretch, ...]
) -> None:
    evaluated = g.evaluated(replace(known, programme=programme))
    short, long = short_of(evaluated), long_of(evaluated)
    verdicts, on_it, others = long_verdicts(long), of_programme(short), of_others(short)
    assert on_it.keys() | others.keys() == verdicts.keys()
    assert not on_it.keys() & others.keys()
    for key, said in {**on_it, **others}.items():
        verdict = verdicts[key]
        assert (said["mode"], said["planned"]) == (verdict["mode"], verdict["planned"]), key
        if not never_done(verdict):
            assert said["limits"] == verdict["limits"], key
            assert said["cautions"] == verdict["cautions"], key
    for key, said in on_it.items():
        for name in ("reasons", "cautions", "offered_instead"):
            assert said[name] == verdicts[key][name], (key, name)
    for key in others:
        _, technique, _ = key
        numbers = short["reasons"] + short["other_reasons"]
        assert verdicts[key]["reasons"] <= spoken(short, numbers, technique), key


@EXAMPLES
@given(chapters.facts(), programmes)
def test_the_headline_says_the_worst_of_what_lies_beneath(
    known: PermissionFacts, programme: tuple[ProgrammeStretch, ...]
) -> None:
    evaluated = g.evaluated(replace(known, programme=programme))
    short = short_of(evaluated)
    spoken_of = of_programme(short) or of_others(short)
    modes = [Mode(said["mode"]) for said in spoken_of.values()]
    assert short["worst"] == min(modes, key=MODE_WIDTH.__getitem__)
    for mode, words in (("not_today", "not today"), ("self_directed", "self-directed")):
        if number := modes.count(Mode(mode)):
            assert f"{number} {words}" in short["headline"]
    for said in (*evaluated.refer_to, *(one.text for one in evaluated.refusals)):
        assert said in short["headline"]
    closed = [one.limb.replace("_", " ") for one in evaluated.load if not one.open]
    assert ("No load: " + ", ".join(closed) + "." in short["headline"]) is bool(closed)
    doable = [said for said in spoken_of.values() if not never_done(said)]
    assert ("Range is limited" in short["headline"]) is any(one["limits"] for one in doable)
    assert ("Planned: " in short["headline"]) is evaluated.provisional


def test_the_headline_says_why_it_may_not_be_booked() -> None:
    wanted = msgspec.convert(
        {"scope": PreferenceScope.ALL_WORK, "gender": "man"}, ProviderPreference
    )
    evaluated = g.evaluated(g.facts(preference=wanted))
    (refusal,) = evaluated.refusals
    assert refusal.text in short_of(evaluated)["headline"]


@EXAMPLES
@given(chapters.facts(), programmes)
def test_nothing_else_is_lost(
    known: PermissionFacts, programme: tuple[ProgrammeStretch, ...]
) -> None:
    evaluated = g.evaluated(replace(known, programme=programme))
    short, long = short_of(evaluated), long_of(evaluated)
    for name in ("mode", "planned", "hands_on", "hands_on_planned", "provisional", "bookable"):
        assert short[name] == long[name]
    for name in ("refusals", "warnings", "clearance_reasons"):
        assert spoken(short, short[name], ALL[0]) == plain(long[name])
    assert (short["refer_to"], short["loading_cleared"]) == (
        long["refer_to"],
        long["loading_cleared"],
    )
    limbs = {limb: one for one in short["load"] for limb in one["limbs"]}
    assert len(limbs) == len(long["load"])
    for one in long["load"]:
        said = limbs[one["limb"]]
        assert said["open"] == one["open"]
        for name in ("reasons", "cautions"):
            assert spoken(short, said.get(name, []), ALL[0]) == plain(one[name])


@pytest.mark.parametrize("programme", [(), PROGRAMME], ids=["no programme", "programme"])
@pytest.mark.parametrize("answered", [True, False], ids=["answered", "not answered"])
@pytest.mark.parametrize("client", CLIENTS, ids=lambda client: client.__name__)
def test_the_worked_clients_are_five_kilobytes_at_most(
    client: Any, answered: bool, programme: Any
) -> None:
    known = replace(client(), programme=programme)
    known = known if answered else replace(known, arrival=None)
    evaluated = evaluate(known, CATALOGUE, g.settings())
    assert size(short_of(evaluated)) <= LARGEST_BYTES
    assert size(long_of(evaluated)) > 8 * LARGEST_BYTES, "the long form is what it was"


def test_what_is_alike_stands_together_with_its_names() -> None:
    known = replace(CLIENTS[0](), programme=PROGRAMME)
    short = short_of(evaluate(known, CATALOGUE, g.settings()))
    first = short["programme"][0]
    assert first["stretches"] == {"abduction_pattern": "Abduction pattern"}
    by_hand, assisted = first["outcomes"]
    assert by_hand["limits"] == {"shoulder_abduction": 100.0, "shoulder_flexion": 100.0}
    assert (assisted["techniques"], assisted["sides"]) == (["contract_relax", "passive"], "left")
    assert assisted["offered_instead"] == "active_isolated"
    texts = [short["reason_texts"][str(number)] for number in assisted["reasons"]]
    assert "surgery.no_clearance" in {one["code"] for one in texts}
    turned = next(
        one for one in short["other_stretches"] if "external_rotation_lying" in one["stretches"]
    )
    assert turned["stretches"].keys() == {
        "extension_pattern",
        "external_rotation_lying",
        "internal_rotation_lying",
    }
    assert [one["sides"] for one in turned["by_side"]] == ["left", "right"]
    hips = next(one for one in short["other_stretches"] if "hip_flexors" in one["stretches"])
    assert [one["sides"] for one in hips["by_side"]] == ["left, right"]


def test_a_reason_that_stands_against_all_of_it_is_said_at_the_top_alone() -> None:
    evaluated = evaluate(CLIENTS[2](), CATALOGUE, g.settings())
    short = short_of(evaluated)
    assert "law.unknown" in {code for code, _ in spoken(short, short["reasons"], ALL[0])}
    assert not set(short["reasons"]) & set(short["other_reasons"])
    codes = [one["code"] for one in short["reason_texts"].values()]
    assert codes.count("law.unknown") == 1


def test_techniques_with_other_limits_stand_apart() -> None:
    evaluated = g.evaluated(g.OPEN, g.FLEXION)
    first, *rest = evaluated.stretch_permissions
    limited = replace(
        first,
        limits=(
            msgspec.convert(
                {"movement": "shoulder_flexion", "degrees": 90.0}, type=strategies.RangeLimit
            ),
        ),
    )
    narrowed = replace(evaluated, stretch_permissions=(limited, *rest))
    found = of_others(short_of(narrowed))
    assert found[limited.stretch, limited.technique, limited.side]["limits"] == {
        "shoulder_flexion": 90.0
    }
    assert sum(bool(one["limits"]) for one in found.values()) == 1


@pytest.mark.parametrize(
    ("mode", "planned", "said"),
    [
        (Mode.NOT_TODAY, Mode.HANDS_ON, {"shoulder_flexion": 90.0}),
        (Mode.HANDS_ON, Mode.NOT_TODAY, {"shoulder_flexion": 90.0}),
        (Mode.NOT_TODAY, Mode.NOT_TODAY, {}),
    ],
)
def test_a_limit_is_said_unless_nothing_may_be_done_at_all(
    mode: Mode, planned: Mode, said: dict[str, float]
) -> None:
    evaluated = g.evaluated(replace(g.OPEN, programme=PROGRAMME), g.FLEXION)
    limit = RangeLimit(movement=Movement.SHOULDER_FLEXION, degrees=90.0)
    verdict = replace(evaluated.stretch_permissions[0], mode=mode, planned=planned, limits=(limit,))
    found = of_others(short_of(replace(evaluated, stretch_permissions=(verdict,))))
    assert [one["limits"] for one in found.values()] == [said]
    on_it = ProgrammeStretch(
        stretch=verdict.stretch, techniques=(verdict.technique,), side=verdict.side
    )
    shown = short_of(replace(evaluated, stretch_permissions=(verdict,), programme=(on_it,)))
    assert [one["limits"] for one in of_programme(shown).values()] == [said]


def test_the_desk_reads_how_much_but_not_which_and_why() -> None:
    known = replace(CLIENTS[0](), programme=PROGRAMME)
    short = short_of(evaluate(known, CATALOGUE, g.settings()), Role.FRONT_DESK)
    assert short["headline"] == "By hand: part."
    assert (short["worst"], short["loading_cleared"]) == (None, None)
    for name in ("programme", "other_stretches", "other_reasons", "load", "refer_to"):
        assert short[name] == []
    codes = {one["code"] for one in short["reason_texts"].values()}
    assert codes <= {"health"}, "the warning on the skin is one general reason"
    unanswered = replace(known, arrival=None)
    provisional = short_of(evaluate(unanswered, CATALOGUE, g.settings()), Role.FRONT_DESK)
    assert provisional["headline"] == ("By hand: nothing. Planned: part.")
