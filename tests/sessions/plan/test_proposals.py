"""The plan lists only what is permitted, says what stands instead, and proposes what posture and
range ask for (common practice; the practitioner picks)."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import msgspec
import pytest

from clients.health.domain.content import BodySite, Operation
from clients.health.domain.terms import OperationKind
from clients.orders.domain.events import OrderFiled
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.permissions.domain.results import (
    EvaluatedVersions,
    SessionPermissions,
    StretchPermission,
)
from practice.clock import clock
from practice.core.events import Event
from practice.core.terms import Mode, Movement, Region, Role, Side, Technique
from sessions.catalogue.domain.content import StretchContent
from sessions.catalogue.domain.order import order_warnings
from sessions.catalogue.domain.terms import PostureKind
from sessions.measurements.domain.deficits import Shortfall
from sessions.measurements.domain.events import PostureRecorded, PostureSeverity
from sessions.plan.domain.proposals import propose, stands_instead
from tests.builders import Built, ok
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client, reviewed, tell
from tests.sessions.stretches.stories import reading
from tests.sessions.stretches.test_order import CATALOGUE, SPECS

CONTENT = {code: msgspec.convert(one, StretchContent) for code, one in CATALOGUE.items()}
ABDUCTION = Shortfall(movement=Movement.SHOULDER_ABDUCTION, side=Side.RIGHT, degrees=120, goal=180)


def permission(stretch, side=Side.BOTH, mode=Mode.HANDS_ON, planned=None):
    return StretchPermission(
        stretch=stretch,
        technique=Technique.ACTIVE_ISOLATED,
        side=side,
        mode=mode,
        planned=planned or mode,
    )


def permissions(*rows, provisional=False):
    return SessionPermissions(
        mode=Mode.HANDS_ON,
        planned=Mode.HANDS_ON,
        provisional=provisional,
        reasons=(),
        stretch_permissions=rows,
        versions=EvaluatedVersions(rules=1, settings=1, record=1, catalogue=1),
    )


def finding(severity, kind=PostureKind.DEEPENED_LUMBAR_CURVE, side=Side.BOTH):
    return PostureRecorded(
        finding_id=uuid4(), finding=kind, severity=severity, side=side, observer_id=uuid4()
    )


def codes(rows, findings=(), shortfalls=(), programme=()):
    found = propose(CONTENT, rows, findings, shortfalls, programme)
    return [(one.stretch, one.side) for one in found]


@pytest.mark.parametrize(
    ("severity", "proposed"),
    [
        (PostureSeverity.MILD, []),
        (PostureSeverity.MODERATE, ["lower_back", "abdominal_strengthening"]),
    ],
)
def test_a_marked_lumbar_curve_proposes_low_back_and_abdominals(severity, proposed):
    rows = permissions(
        permission("lower_back"), permission("abdominal_strengthening"), permission("walking")
    )
    assert [code for code, _ in codes(rows, [finding(severity)])] == proposed


def test_what_is_not_permitted_is_not_proposed():
    rows = permissions(
        permission("lower_back"), permission("abdominal_strengthening", mode=Mode.NOT_TODAY)
    )
    assert codes(rows, [finding(PostureSeverity.SEVERE)]) == [("lower_back", Side.BOTH)]


def test_before_the_arrival_questions_what_is_planned_counts():
    row = permission("lower_back", mode=Mode.NOT_TODAY, planned=Mode.HANDS_ON)
    curve = [finding(PostureSeverity.SEVERE)]
    assert codes(permissions(row, provisional=True), curve)
    assert not codes(permissions(row), curve)


def test_a_short_range_proposes_on_its_side_what_is_not_on_the_programme():
    both = [permission("abduction_pattern", side) for side in (Side.LEFT, Side.RIGHT)]
    rows = permissions(*both, permission("triceps", Side.RIGHT))
    assert codes(rows, shortfalls=[ABDUCTION]) == [("abduction_pattern", Side.RIGHT)]
    assert not codes(rows, (), [ABDUCTION], {("abduction_pattern", Side.RIGHT)})
    assert codes(rows, (), [ABDUCTION], {("abduction_pattern", Side.LEFT)})


def test_what_stands_instead_is_permitted():
    assert stands_instead("curls", CONTENT, {"pelvic_tilts", "breathing"}) == [
        "pelvic_tilts",
        "breathing",
    ]
    assert stands_instead("lower_back", CONTENT, {"breathing"}) == ["breathing"]
    assert stands_instead("curls", CONTENT, set()) == []


@pytest.mark.parametrize(
    ("permitted", "named"),
    [
        ({"pelvic_tilts", "curls", "breathing"}, ["pelvic tilts", "curls", "breathing"]),
        ({"breathing"}, ["breathing"]),
        (set(), []),
    ],
)
def test_only_preparation_that_is_permitted_is_asked_for(permitted, named):
    texts = [one.text for one in order_warnings(["abduction_pattern"], SPECS, permitted)]
    assert bool(texts) is bool(named)
    for words in ("pelvic tilts", "curls", "breathing"):
        assert any(words in text for text in texts) is (words in named)


def test_a_plan_after_a_flap_lists_what_is_permitted_and_proposes_by_range(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    for stretch in ("curls", "breathing"):
        body = {"stretch": stretch, "side": "both", "facility_id": str(built.east.pk)}
        ok(api.post(f"clients/{client_id}/stretches", body), 201)
    ok(api.post(f"clients/{client_id}/range-of-motion", reading(120)), 201)
    day = clock.now().date() - timedelta(weeks=3)
    flap = Operation(id=uuid4(), kind=OperationKind.ABDOMINAL_FLAP, side=Side.LEFT, on=day)
    tell(built, client_id, reviewed(operations=(flap,)))
    session = book(built, client_id, local(2))
    plan = ok(api.get(f"sessions/{session['id']}/plan", {"form": "long"}))
    assert [one["stretch"] for one in plan["stretches"]] == ["breathing"]
    (closed,) = plan["not_permitted"]
    assert (closed["stretch"], closed["instead"]) == ("curls", ["breathing"])
    assert closed["stretch_permissions"][0]["reasons"]
    permitted = {
        (one["stretch"], one["side"])
        for one in plan["permissions"]["stretch_permissions"]
        if one["planned"] != "not_today"
    }
    proposed = {(one["stretch"], one["side"]) for one in plan["proposals"]}
    assert proposed <= permitted
    assert all(one["reasons"][0]["code"] == "proposed.range" for one in plan["proposals"])


def test_range_short_by_less_than_the_error_proposes_nothing(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    session = book(built, client_id, local(2))
    for degrees, proposed in ((172, False), (171, True)):
        ok(api.post(f"clients/{client_id}/range-of-motion", reading(degrees)), 201)
        plan = ok(api.get(f"sessions/{session['id']}/plan", {"form": "long"}))
        assert bool(plan["proposals"]) is proposed


def marked_curve(built: Built, client_id, severity="severe") -> None:
    seen = {"finding": "deepened_lumbar_curve", "severity": severity, "side": "both"}
    ok(built.api(Role.PRACTITIONER).post(f"clients/{client_id}/posture", seen), 201)


@pytest.mark.parametrize(
    ("severity", "cleared", "proposed"),
    [
        ("severe", True, {"lower_back", "abdominal_strengthening"}),
        ("mild", True, set()),
        ("severe", False, set()),
    ],
)
def test_sixteen_weeks_after_a_flap_with_leave_a_marked_lumbar_curve_proposes_on_the_plan(
    built: Built, severity: str, cleared: bool, proposed: set[str]
) -> None:
    # Posture findings propose what the catalogue has and the day permits; the practitioner picks.
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    today = clock.now().date()
    flap = Operation(
        id=uuid4(),
        kind=OperationKind.ABDOMINAL_FLAP,
        side=Side.BOTH,
        on=today - timedelta(weeks=16),
        incision_healed=True,
        donor_incision_healed=True,
        drains_out=True,
        expander_in=False,
        stands_erect=True,
    )
    told: list[Event] = [reviewed(operations=(flap,))]
    if cleared:
        sites = tuple(BodySite(region=region, side=Side.BOTH) for region in Region)
        leave = MedicalOrder(
            id=uuid4(),
            kind=OrderKind.CLEARANCE,
            prescriber=Prescriber.SURGEON,
            prescriber_name="The surgeon",
            subjects=tuple(OrderSubject),
            sites=sites,
            given_on=today - timedelta(days=7),
            from_date=today - timedelta(days=7),
        )
        told.append(OrderFiled(order=leave))
    tell(built, client_id, *told)
    marked_curve(built, client_id, severity)
    session = book(built, client_id, local(2))
    plan = ok(api.get(f"sessions/{session['id']}/plan", {"form": "long"}))
    assert {one["stretch"] for one in plan["proposals"]} == proposed
    for one in plan["proposals"]:
        assert "deepened lumbar curve" in one["reasons"][0]["text"]
    assert plan["stretches"] == [], "nothing is prescribed by itself"
