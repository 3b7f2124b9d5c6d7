"""The short form of a plan: the programme in its order, with doses and every reason, in at most
5 KB; nothing in it differs from the long form (issue 7, section D)."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import msgspec
import pytest

from clients.health.domain.content import BodySite, Condition, Operation, Radiation
from clients.health.domain.terms import ConditionKind, NeckHistory, OperationKind
from practice.clock import clock
from practice.core.terms import Credential, Region, Role, Side
from tests.builders import Api, Built, ok, refused
from tests.sessions.assessment.short import (
    LARGEST_BYTES,
    Key,
    long_verdicts,
    never_done,
    of_modes,
    of_others,
    of_outcomes,
    of_programme,
    once,
    plain,
    size,
    spoken,
)
from tests.sessions.booking.http import WELL, book, local
from tests.sessions.booking.test_http_red_flags import soon
from tests.sessions.people import open_client, reviewed, tell
from tests.sessions.stretches.stories import days_ago, discharged, measure, reading

STRETCHES = (
    ("abduction_pattern", "right"),
    ("flexion_pattern", "right"),
    ("chest_arms_out", "both"),
    ("curls", "both"),
)


def weeks_ago(weeks: int) -> date:
    return clock.now().date() - timedelta(weeks=weeks)


def chest_operations() -> dict[str, Any]:
    """Six weeks after mastectomy and axillary dissection on the right, irradiated."""
    well: dict[str, Any] = {"incision_healed": True, "drains_out": True, "expander_in": False}
    kinds = (OperationKind.MASTECTOMY, OperationKind.AXILLARY_DISSECTION)
    sites = tuple(BodySite(region=r, side=Side.RIGHT) for r in (Region.CHEST, Region.SHOULDER))
    course = Radiation(id=uuid4(), sites=sites, skin_broken=False, skin_seen_on=weeks_ago(0))
    return {
        "operations": tuple(
            Operation(id=uuid4(), kind=kind, side=Side.RIGHT, on=weeks_ago(6), **well)
            for kind in kinds
        ),
        "radiations": (course,),
        "neck": NeckHistory.NOT_ASKED,
    }


def flap_and_fragile_bone() -> dict[str, Any]:
    """Seventeen weeks after an abdominal flap, with fragile bone."""
    flap = Operation(
        id=uuid4(),
        kind=OperationKind.ABDOMINAL_FLAP,
        side=Side.BOTH,
        on=weeks_ago(17),
        incision_healed=True,
        donor_incision_healed=True,
        drains_out=True,
        stands_erect=True,
    )
    bone = Condition(id=uuid4(), kind=ConditionKind.BONE_FRAGILITY)
    return {"operations": (flap,), "conditions": (bone,)}


def lumpectomy() -> dict[str, Any]:
    """A year after a lumpectomy."""
    one = Operation(id=uuid4(), kind=OperationKind.LUMPECTOMY, side=Side.RIGHT, on=weeks_ago(52))
    healed = msgspec.structs.replace(one, incision_healed=True, drains_out=True)
    return {"operations": (healed,)}


def on_programme(api: Api, built: Built, client_id: Any) -> None:
    """Four stretches, readings of two movements on two days."""
    for stretch, side in STRETCHES:
        made = {"stretch": stretch, "side": side, "facility_id": str(built.east.pk)}
        ok(api.post(f"clients/{client_id}/stretches", made), 201)
    for movement in ("shoulder_abduction", "shoulder_flexion"):
        for days, degrees in ((9, 110), (3, 124)):
            sent = reading(degrees, movement=movement, occurred_at=days_ago(days), pain=2)
            ok(api.post(f"clients/{client_id}/range-of-motion", sent), 201)


def both_forms(api: Api, session: Any) -> tuple[Any, Any]:
    path = f"sessions/{session['id']}/plan"
    return ok(api.get(path)), ok(api.get(path, {"form": "long"}))


def said_of_programme(short: Any) -> dict[Key, dict[str, Any]]:
    """What the programme says; a prescription for both sides says it of each."""
    return once(
        pair
        for group in short["programme"]
        for pair in of_outcomes(
            short, [one["stretch"] for one in group["prescriptions"]], group["outcomes"]
        )
    )


@pytest.mark.parametrize("answered", [True, False], ids=["answered", "not answered"])
@pytest.mark.parametrize(
    "history", [chest_operations, flap_and_fragile_bone, lumpectomy], ids=lambda one: one.__name__
)
def test_short_and_long_plan_never_disagree(built: Built, history: Any, answered: bool) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    tell(built, client_id, reviewed(**history()))
    on_programme(api, built, client_id)
    session = soon(built, client_id)
    if answered:
        ok(api.post(f"sessions/{session['id']}/arrival", WELL))
    short, long = both_forms(api, session)
    assert size(short) <= LARGEST_BYTES
    assert size(long) > 6 * LARGEST_BYTES
    verdicts = long_verdicts(long["permissions"])
    said = said_of_programme(short)
    for key, one in said.items():
        for name in ("mode", "planned", "reasons", "cautions", "offered_instead"):
            assert one[name] == verdicts[key][name], (key, name)
        if not never_done(one):
            assert one["limits"] == verdicts[key]["limits"]
    listed = [*long["stretches"], *long["not_permitted"]]
    assert {one["prescription_id"] for one in listed} == {
        one["prescription_id"] for group in short["programme"] for one in group["prescriptions"]
    }
    order = [one["stretch"] for group in short["programme"] for one in group["prescriptions"]]
    assert order[: len(long["stretches"])] == [one["stretch"] for one in long["stretches"]]
    others = [one for key, one in verdicts.items() if key not in said]
    assert short["other_stretches"] == {
        mode: sum(one["mode"] == mode for one in others)
        for mode in ("hands_on", "self_directed", "not_today")
    }


def test_the_plan_keeps_doses_readings_split_and_what_asks_for_more(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    tell(built, client_id, reviewed(**flap_and_fragile_bone()))
    on_programme(api, built, client_id)
    short, long = both_forms(api, book(built, client_id, local(2)))
    rows = {
        one["prescription_id"]: one
        for group in short["programme"]
        for one in group["prescriptions"]
    }
    for one in long["stretches"]:
        kept = [{n: v for n, v in dose.items() if v is not None} for dose in one["doses"]]
        row = rows[one["prescription_id"]]
        assert (row["doses"], row["name"], row["side"]) == (kept, one["name"], one["side"])
    assert [(one["movement"], one["degrees"], one["pain"]) for one in short["readings"]] == [
        (one["movement"], one["degrees"], one["pain"]) for one in long["readings"]
    ]
    (curls,) = [one for one in short["programme"] if one["prescriptions"][0]["stretch"] == "curls"]
    barred = {one["stretch"]: one["instead"] for one in long["not_permitted"]}
    assert list(curls["instead"]) == barred["curls"] == ["breathing"]
    split = short["split"]
    assert [(one["part"], one["minutes"]) for one in split["suggested"]] == [
        (one["part"], one["minutes"]) for one in long["split"]["suggested"]
    ]
    assert spoken(short, split["reasons"], "passive") == plain(long["split"]["reasons"])
    limbs = {limb: one for one in short["load"] for limb in one["limbs"]}
    for one in long["split"]["loading_criteria"]:
        said = limbs[one["limb"]]
        assert said["open"] == one["open"]
        for name in ("reasons", "cautions"):
            assert spoken(short, said.get(name, []), "passive") == plain(one[name])
    assert "No load:" in short["headline"]


def test_what_posture_and_range_ask_for_is_in_the_short_plan(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    for movement in ("shoulder_abduction", "shoulder_flexion"):
        measure(api, client_id, 120, movement=movement)
    short, long = both_forms(api, book(built, client_id, local(2)))
    proposed = {
        (stretch, side)
        for one in short["proposals"]
        for (stretch, _, side), _ in of_modes(short, one["stretches"], one["by_side"])
    }
    assert proposed == {(one["stretch"], one["side"]) for one in long["proposals"]}
    assert proposed
    asked = {r for one in long["proposals"] for r in plain(one["reasons"])}
    numbers = [number for one in short["proposals"] for number in one["reasons"]]
    assert spoken(short, numbers, "passive") == asked
    verdicts = long_verdicts(long["permissions"])
    for one in short["proposals"]:
        for key, said in of_modes(short, one["stretches"], one["by_side"]):
            assert (said["mode"], said["planned"]) == (
                verdicts[key]["mode"],
                verdicts[key]["planned"],
            )


def test_limbs_that_measurements_close_are_in_the_headline(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    tell(built, client_id, reviewed(**lumpectomy()))
    session = soon(built, client_id)
    ok(api.post(f"sessions/{session['id']}/arrival", WELL))
    short, long = both_forms(api, session)
    assert {one["limb"] for one in long["permissions"]["load"] if not one["open"]} == set()
    closed = {one["limb"] for one in long["split"]["loading_criteria"] if not one["open"]}
    assert closed == {"right_arm"}, "nothing is measured on that arm"
    assert "No load: right arm." in short["headline"]


def test_prescriptions_alike_stand_together_and_keep_their_order(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    for stretch in ("abduction_pattern", "flexion_pattern", "curls", "extension_pattern"):
        side = "both" if stretch == "curls" else "right"
        made = {"stretch": stretch, "side": side, "facility_id": str(built.east.pk)}
        ok(api.post(f"clients/{client_id}/stretches", made), 201)
    short, _ = both_forms(api, book(built, client_id, local(2)))
    assert [[one["stretch"] for one in group["prescriptions"]] for group in short["programme"]] == [
        ["abduction_pattern", "flexion_pattern"],
        ["curls"],
        ["extension_pattern"],
    ]


def test_a_stretch_out_of_the_catalogue_follows_the_session(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    made = {"stretch": "triceps", "side": "right", "facility_id": str(built.east.pk)}
    ok(api.post(f"clients/{client_id}/stretches", made), 201)
    session = book(built, client_id, local(2))
    ok(built.api(Role.OWNER).patch("stretch-catalogue/triceps", {"is_active": False}, match=1))
    short, long = both_forms(api, session)
    (group,) = short["programme"]
    (stretch,) = long["stretches"]
    assert [
        (technique, one["mode"]) for one in group["outcomes"] for technique in one["techniques"]
    ] == [(one["technique"], one["mode"]) for one in stretch["techniques"]]
    assert short["headline"].startswith("Of the catalogue:"), "nothing of the programme was judged"


def test_a_loss_since_a_discharge_asks_in_the_short_plan_too(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id, days=20)
    measure(api, client_id, 165)
    short, long = both_forms(api, book(built, client_id, local(2)))
    for name in ("id", "client_name", "starts_at", "ends_at", "planned_mode", "flagged"):
        assert short["session"][name] == long["session"][name]
    assert short["session"]["client_name"]
    (lost,), (told,) = long["losses"], short["losses"]
    assert told["prescription_id"] == lost["prescription_id"]
    assert told["reading_id"] == lost["reading_id"]
    assert short["reason_texts"][str(told["prompt"])]["text"] == lost["prompt"]["text"]


def test_answers_flags_and_a_stop_are_in_the_short_plan(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    session = soon(built, client_id)
    plan = f"sessions/{session['id']}/plan"
    ok(api.post(f"sessions/{session['id']}/arrival", {**WELL, "new_symptoms": ["chest_pain"]}))
    flagged = ok(api.get(plan))
    assert flagged["answers"]["new_symptoms"] == ["chest_pain"]
    assert (flagged["answers"]["swelling"], "other_symptoms" in flagged["answers"]) == ([], False)
    assert (flagged["mode"], flagged["worst"]) == ("not_today", "not_today")
    assert flagged["headline"].startswith(flagged["refer_to"][0]), "the gravest comes first"
    assert flagged["session"]["flagged"]
    assert flagged["session"]["flag_reasons"]
    assert "stopped_at_minute" not in flagged["session"]


def test_permissions_and_plan_are_short_unless_the_long_form_is_asked_for(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    session = book(built, client_id, local(2))
    path = f"clients/{client_id}/permissions"
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    asked = {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk)}
    long = ok(api.get(path, {**asked, "form": "long"}))
    for query in (asked, {**asked, "form": "short"}):
        short = ok(api.get(path, query))
        found = {**of_programme(short), **of_others(short)}
        verdicts = long_verdicts(long)
        assert {key: one["mode"] for key, one in found.items()} == {
            key: one["mode"] for key, one in verdicts.items()
        }
        assert "stretch_permissions" not in short
    desk = ok(built.api(Role.FRONT_DESK).get(path, asked))
    assert (desk["programme"], desk["other_stretches"]) == ([], [])
    refused(api.get(path, {**asked, "form": "tiny"}), 400, "invalid")
    refused(api.get(f"sessions/{session['id']}/plan", {"form": "tiny"}), 400, "invalid")
