"""Range of motion, goals, posture and girths over HTTP."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from clients.health.domain.content import Operation
from clients.health.domain.terms import OperationKind
from practice.accesslog.models import AccessEntry
from practice.audit import rebuild
from practice.clock import clock
from practice.core.terms import Credential, Role, Side
from tests.builders import NOBODY_KNOWS, Built, ok, refused
from tests.sessions.people import open_client, reviewed, tell
from tests.sessions.stretches.stories import days_ago, discharged, measure, reading


def url(client_id):
    return f"clients/{client_id}/range-of-motion"


def test_a_reading_is_recorded_and_labelled_against_those_like_it(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    measure(api, client_id, 120, occurred_at=days_ago(20))
    measure(api, client_id, 126, occurred_at=days_ago(10))
    new = measure(api, client_id, 131)["reading"]
    labels = {c["against"]: (c["change"], c["label"]) for c in new["comparisons"]}
    assert labels == {
        "baseline": (11, "improved"),
        "last": (5, "within_measurement_error"),
        "best": (5, "within_measurement_error"),
    }
    assert new["rater_id"] == str(built.staff[Role.PRACTITIONER].practitioner_id)


def test_the_list_is_newest_first_filtered_and_logged(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    measure(api, client_id, 120, occurred_at=days_ago(20))
    measure(api, client_id, 126)
    measure(api, client_id, 60, side="left", position="supine")
    rows = ok(api.get(url(client_id), {"side": "right"}))["results"]
    assert [one["degrees"] for one in rows] == [126, 120]
    assert AccessEntry.objects.filter(client_id=client_id, what="range of motion").exists()
    first = ok(api.get(url(client_id), {"page_size": "1"}))
    assert len(first["results"]) == 1
    more = ok(api.get(url(client_id), {"page_size": "1", "cursor": first["next_cursor"]}))
    assert more["results"][0]["id"] != first["results"][0]["id"]


def test_a_reading_is_compared_with_its_discharge(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id, days=100)
    new = measure(api, client_id, 172)["reading"]
    found = next(c for c in new["comparisons"] if c["against"] == "discharge")
    assert (found["degrees"], found["change"], found["threshold"]) == (180, -8, 9)


def test_a_drop_asks_for_a_second_reading_that_day(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    measure(api, client_id, 150, occurred_at=days_ago(9))
    answer = measure(api, client_id, 145)
    assert answer["reading"]["second_reading"] is True
    assert answer["warnings"][0]["code"] == "second_reading"
    assert measure(api, client_id, 146)["warnings"] == []


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"degrees": 300}, "impossible_degrees", "degrees"),
        ({"degrees": 12}, "unlikely_degrees", "degrees"),
        ({"degrees": 12.5}, "invalid", "degrees"),
        ({"degrees": "140"}, "invalid", "degrees"),
        ({"side": "both"}, "invalid", "side"),
        ({"pain": 11}, "invalid", "pain"),
        ({"instrument": "tape"}, "invalid", "instrument"),
        ({"movement": "wing_flap"}, "invalid", "movement"),
        ({"occurred_at": "2999-01-01T10:00:00Z"}, "invalid", "occurred_at"),
        ({"occurred_at": "2026-03-01T10:00:00"}, "invalid", "occurred_at"),
        (
            {"occurred_at": {"local": "2026-03-08T02:30"}},
            "local_time_does_not_exist",
            "occurred_at",
        ),
        ({"rater_id": str(NOBODY_KNOWS)}, "invalid", "rater_id"),
        ({"session_id": str(NOBODY_KNOWS)}, "invalid", "session_id"),
        ({"colour": "red"}, "invalid", "colour"),
    ],
)
def test_what_cannot_be_names_its_field_and_leaves_nothing(
    built: Built, change: dict, code: str, field: str
) -> None:
    from practice.policy.models import PRACTICE_ID, Practice

    Practice.objects.filter(pk=PRACTICE_ID).update(zone="America/New_York")
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    problem = refused(api.post(url(client_id), {**reading(140), **change}), 400, code)
    assert field in {error["field"] for error in problem["errors"]}
    assert ok(api.get(url(client_id)))["results"] == []


def test_an_unlikely_value_is_kept_once_confirmed(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    answer = measure(api, client_id, 12, confirmed_unlikely=True)
    assert answer["reading"]["confirmed_unlikely"] is True


def test_an_owner_who_is_no_practitioner_says_who_measured(built: Built) -> None:
    client_id, owner = open_client(built), built.api(Role.OWNER)
    refused(owner.post(url(client_id), reading(140)), 400, "invalid")
    paula = str(built.staff[Role.PRACTITIONER].practitioner_id)
    assert measure(owner, client_id, 140, rater_id=paula)["reading"]["rater_id"] == paula


def test_a_reading_in_error_leaves_the_view_and_the_labels(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    wrong = measure(api, client_id, 175, occurred_at=days_ago(3))["reading"]["id"]
    ok(api.post(f"{url(client_id)}/{wrong}/entered-in-error", {"reason": "wrong side"}))
    ok(api.post(f"{url(client_id)}/{wrong}/entered-in-error", {"reason": "again"}))
    assert measure(api, client_id, 140)["reading"]["comparisons"] == []
    assert rebuild.compare().differences == []


def test_an_unknown_client_is_not_found(built: Built) -> None:
    api = built.api(Role.PRACTITIONER)
    refused(api.get(url(NOBODY_KNOWS)), 404, "not_found")
    refused(api.post(url(NOBODY_KNOWS), reading(140)), 404, "not_found")


def test_the_desk_reads_no_degrees(built: Built) -> None:
    client_id = open_client(built)
    refused(built.api(Role.FRONT_DESK).get(url(client_id)), 403, "forbidden")


@pytest.mark.parametrize(("kind", "begins"), [("svg", b"<?xml"), ("png", b"\x89PNG")])
def test_the_series_is_a_picture(built: Built, kind: str, begins: bytes) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    discharged(built, client_id)
    measure(api, client_id, 174)
    wanted = {"movement": "shoulder_abduction", "side": "right", "format": kind}
    answer = api.get(f"{url(client_id)}/chart", wanted)
    assert answer.status_code == 200
    assert answer.content.startswith(begins)
    again = api.get(f"{url(client_id)}/chart", wanted)
    assert again.content == answer.content
    if kind == "svg":
        assert b"readings" in answer.content or b"<path" in answer.content


def test_a_picture_of_nothing_yet_is_a_picture(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    wanted = {"movement": "hip_flexion", "side": "left"}
    assert api.get(f"{url(client_id)}/chart", wanted).status_code == 200
    refused(api.get(f"{url(client_id)}/chart", {"side": "left"}), 400, "invalid")


def test_goals_keep_their_source_and_replace_each_other(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    where = {"movement": "shoulder_extension", "side": "left"}
    first = ok(api.post(f"clients/{client_id}/goals", where), 201)
    assert (first["degrees"], first["edition"]) == (60, "AAOS")
    second = ok(api.post(f"clients/{client_id}/goals", {**where, "basis": "daily_life"}), 201)
    assert second["degrees"] == 46
    rows = ok(api.get(f"clients/{client_id}/goals"))["results"]
    assert {one["id"]: one["replaced_by"] for one in rows} == {
        first["id"]: second["id"],
        second["id"]: None,
    }
    assert rebuild.compare().differences == []


def operated(*sides: Side, weeks: int = 30):
    day = clock.now().date() - timedelta(weeks=weeks)
    return reviewed(
        operations=tuple(
            Operation(id=uuid4(), kind=OperationKind.AXILLARY_DISSECTION, side=side, on=day)
            for side in sides
        )
    )


def test_the_other_side_is_the_goal_only_where_one_side_is_affected(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    tell(built, client_id, operated(Side.RIGHT))
    measure(api, client_id, 171, side="left")
    wanted = {"movement": "shoulder_abduction", "side": "right", "basis": "other_side"}
    assert ok(api.post(f"clients/{client_id}/goals", wanted), 201)["degrees"] == 171
    tell(built, client_id, operated(Side.RIGHT, Side.LEFT))
    refused(api.post(f"clients/{client_id}/goals", wanted), 409, "other_side_affected")


def test_posture_findings_over_time(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    path = f"clients/{client_id}/posture"
    for severity in ("severe", "mild"):
        ok(api.post(path, {"finding": "rounded_shoulders", "severity": severity}), 201)
    rows = ok(api.get(path))["results"]
    assert [one["severity"] for one in rows] == ["mild", "severe"]
    problem = refused(api.post(path, {"finding": "other", "severity": "mild"}), 400, "invalid")
    assert problem["errors"][0]["field"] == "description"
    gone = f"{path}/{rows[0]['id']}/entered-in-error"
    ok(api.post(gone, {"reason": "another client"}))
    assert len(ok(api.get(path))["results"]) == 1


ARM = [16.0, 18.0, 21.0, 24.0, 26.0, 28.0]


def test_circumferences_become_volumes_and_say_whether_to_refer(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    tell(built, client_id, operated(Side.LEFT))
    path = f"clients/{client_id}/circumferences"
    same = {"left": ARM, "right": ARM, "interval_cm": 4}
    before = ok(api.post(path, {**same, "baseline": True, "occurred_at": days_ago(300)}), 201)
    assert before["left_ml"] == before["right_ml"]
    grown = [round(g * 1.10**0.5, 3) for g in ARM]
    found = ok(api.post(path, {**same, "left": grown}), 201)
    assert found["comparisons"][0]["basis"] == "relative_volume_change"
    assert found["advice"] == "refer"
    assert found["reasons"][0]["source"]
    assert [one["advice"] for one in ok(api.get(path))] == ["refer", "none"]
    assert rebuild.compare().differences == []


@pytest.mark.parametrize(
    ("change", "code", "field"),
    [
        ({"left": [16, 18]}, "invalid", "right"),
        ({"left": [160, 18, 21, 24, 26, 28]}, "impossible_circumference", "left"),
        ({"left": ["16", 18, 21, 24, 26, 28]}, "invalid", "left"),
        ({"interval_cm": 0}, "invalid", "interval_cm"),
        ({"interval_cm": "4"}, "invalid", "interval_cm"),
        ({"stage": "II"}, "invalid", "stage_side"),
    ],
)
def test_impossible_circumferences_are_refused(
    built: Built, change: dict, code: str, field: str
) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    given = {"left": ARM, "right": ARM, "interval_cm": 4, **change}
    problem = refused(api.post(f"clients/{client_id}/circumferences", given), 400, code)
    assert field in {error["field"] for error in problem["errors"]}


def test_circumferences_that_say_refer_put_a_caution_on_that_arm(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    day = clock.now().date() - timedelta(weeks=60)
    nodes = Operation(id=uuid4(), kind=OperationKind.AXILLARY_DISSECTION, side=Side.RIGHT, on=day)
    tell(built, client_id, reviewed(operations=(nodes,)))
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    asked = {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk), "form": "long"}

    def watched() -> set[tuple[str, str]]:
        found = ok(api.get(f"clients/{client_id}/permissions", asked))["stretch_permissions"]
        return {
            (one["stretch"], one["side"])
            for one in found
            if "swelling.watched" in {reason["code"] for reason in one["cautions"]}
        }

    path = f"clients/{client_id}/circumferences"
    even = {"interval_cm": 4, "left": [16, 18, 21, 24], "right": [16, 18, 21, 24]}
    assert ok(api.post(path, even), 201)["advice"] == "none"
    assert watched() == set()
    larger = ok(api.post(path, {**even, "right": [18.5, 20.5, 23.5, 26.5]}), 201)
    assert larger["advice"] == "refer"
    assert ("abduction_pattern", "right") in watched()
    assert ("abduction_pattern", "left") not in watched()
    ok(api.post(f"{path}/{larger['id']}/entered-in-error", {"reason": "wrong tape"}))
    assert watched() == set()
