"""Payers and service codes over HTTP."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Role
from practice.policy.models import SettingChange
from tests.builders import NOBODY_KNOWS, Built, build_practice, ok, refused, version_of

pytestmark = pytest.mark.django_db

CODE = {"code": "STR15", "description": "stretching, 15 minutes", "timed": True}


@pytest.fixture
def built(db: None) -> Built:
    return build_practice()


def add_payer(built: Built, **changes: Any) -> dict[str, Any]:
    owner = built.api(Role.OWNER)
    if not owner.get("service-codes").json()["results"]:
        ok(owner.post("service-codes", CODE), 201)
    body = {
        "name": "Lakeshore Health Plan",
        "unit_rule": "cms_total_time",
        "paid_credentials": ["occupational_therapist", "physical_therapist"],
        "disclosure_address": "Claims, 1 Lakeshore Drive",
        "services": [
            {"part": "stretching", "credential": "physical_therapist", "code": "STR15"},
        ],
        **changes,
    }
    made: dict[str, Any] = ok(owner.post("payers", body), 201)
    return made


def test_a_payer_is_added_with_its_rule_and_its_map(built: Built) -> None:
    made = add_payer(built)
    assert made["visit_definition"] == "calendar_day"
    assert made["paid_credentials"] == ["physical_therapist", "occupational_therapist"]
    assert made["services"] == [
        {"part": "stretching", "credential": "physical_therapist", "code": "STR15"}
    ]
    answer = built.api(Role.BILLING).get(f"payers/{made['id']}")
    assert ok(answer) == made
    assert version_of(answer) == 1


@pytest.mark.parametrize("role", [Role.FRONT_DESK, Role.PRACTITIONER])
def test_desk_and_practitioners_see_a_payers_name_only(built: Built, role: Role) -> None:
    made = add_payer(built)
    name = {"id": made["id"], "name": "Lakeshore Health Plan", "is_active": True}
    assert ok(built.api(role).get(f"payers/{made['id']}")) == name
    assert ok(built.api(role).get("payers"))["results"] == [name]


def test_a_change_keeps_what_stood_before(built: Built) -> None:
    made = add_payer(built)
    billing = built.api(Role.BILLING)
    changed = ok(billing.patch(f"payers/{made['id']}", {"services": []}, match=1))
    assert (changed["revision"], changed["services"]) == (2, [])
    kept = SettingChange.objects.filter(row_id=made["id"]).order_by("id").last()
    assert kept is not None
    assert kept.before is not None
    assert [one["part"] for one in kept.before["services"]] == ["stretching"]
    refused(billing.patch(f"payers/{made['id']}", {"name": "Other"}, match=1), 412, "stale_version")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"unit_rule": "guess"}, "unit_rule"),
        ({"visit_definition": "month"}, "visit_definition"),
        ({"paid_credentials": ["wizard"]}, "paid_credentials.0"),
        ({"name": ""}, "name"),
        ({"services": [{"part": "stretching"}]}, "services.0.credential"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_a_payer_that_cannot_be_is_refused_with_the_field(
    built: Built, changes: dict[str, Any], field: str
) -> None:
    ok(built.api(Role.OWNER).post("service-codes", CODE), 201)
    body = {"name": "L", "unit_rule": "cms_total_time", "paid_credentials": [], **changes}
    problem = refused(built.api(Role.OWNER).post("payers", body), 400, "invalid")
    assert field in [one["field"] for one in problem["errors"]]


def test_a_map_to_an_unknown_code_or_of_a_part_twice_is_refused(built: Built) -> None:
    made = add_payer(built)
    owner = built.api(Role.OWNER)
    item = made["services"][0]
    for services in ([{**item, "code": "NONE"}], [item, item]):
        answer = owner.change(f"payers/{made['id']}", {"services": services})
        problem = refused(answer, 400, "invalid")
        assert problem["errors"][0]["field"] == "services"


def test_a_second_payer_or_code_of_that_name_is_refused(built: Built) -> None:
    add_payer(built)
    owner = built.api(Role.OWNER)
    body = {"name": "Lakeshore Health Plan", "unit_rule": "cms_total_time", "paid_credentials": []}
    refused(owner.post("payers", body), 409, "already_there")
    refused(owner.post("service-codes", CODE), 409, "already_there")


def test_the_code_of_a_service_and_whether_it_is_timed_stay(built: Built) -> None:
    made = ok(built.api(Role.OWNER).post("service-codes", CODE), 201)
    path = f"service-codes/{made['id']}"
    owner = built.api(Role.OWNER)
    assert ok(owner.change(path, {"description": "stretch"}))["description"] == "stretch"
    for change in ({"code": "OTHER"}, {"timed": False}):
        problem = refused(owner.change(path, change), 400, "invalid")
        assert problem["errors"][0]["field"] in change


@pytest.mark.parametrize("path", ["payers", "service-codes"])
def test_unknown_ids_are_not_found_and_unknown_filters_refused(built: Built, path: str) -> None:
    owner = built.api(Role.OWNER)
    refused(owner.get(f"{path}/{NOBODY_KNOWS}"), 404, "not_found")
    refused(owner.change(f"{path}/{NOBODY_KNOWS}", {}), 404, "not_found")
    refused(owner.get(path, {"colour": "red"}), 400, "unknown_parameter")
