"""What opens a gate and what does not, in rows: of each rule the case just inside and outside."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.clinical.domain.orders_in_force import clearances_in_force
from clients.health.domain.content import BodySite
from clients.health.domain.terms import ConditionKind, OperationKind
from clients.orders.domain.terms import OrderKind, OrderSubject
from clients.permissions.domain import abdomen
from clients.permissions.domain.arrival import unanswered_questions
from clients.permissions.domain.findings import on_day
from clients.permissions.domain.inputs import PermissionFacts, SupervisionFacts
from clients.permissions.domain.law import supervised
from practice.core.terms import Mode, Region, Side
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
SETTINGS = g.settings()


def with_flap(*papers: Any, weeks: int | None = 3) -> PermissionFacts:
    on = None if weeks is None else g.DAY - timedelta(weeks=weeks)
    done = g.healed(OperationKind.ABDOMINAL_FLAP, Side.BOTH, on)
    return g.facts(reviewed=g.history(operations=(done,)), orders=papers)


def paper(subject: OrderSubject, *sites: BodySite, **more: Any) -> Any:
    return g.clearance_order(subject, sites=sites, given_on=g.DAY, **more)


def reasons(known: PermissionFacts, stretch: Any) -> set[str]:
    found = g.evaluated(known, stretch).stretch_permissions
    return {reason.code for one in found for reason in one.reasons}


@pytest.mark.parametrize(
    ("kind", "subject", "stands"),
    [
        (OrderKind.CLEARANCE, OrderSubject.CURLS, True),
        (OrderKind.CLEARANCE, OrderSubject.STRETCHING, False),
        (OrderKind.RESTRICTION, OrderSubject.CURLS, False),
    ],
)
def test_only_a_clearance_for_the_subject_is_leave(
    kind: OrderKind, subject: OrderSubject, stands: bool
) -> None:
    order = replace(paper(subject, g.site(Region.ABDOMEN)), kind=kind, widest_mode=Mode.HANDS_ON)
    known = on_day(with_flap(order), SETTINGS)
    assert bool(list(clearances_in_force(known, OrderSubject.CURLS))) is stands


@pytest.mark.parametrize(("region", "opens"), [(Region.ABDOMEN, True), (Region.LEG, False)])
def test_tilts_after_a_flap_are_cleared_for_the_abdomen_alone(region: Region, opens: bool) -> None:
    known = with_flap(paper(OrderSubject.PELVIC_TILTS, g.site(region)))
    assert ("flap.tilts" not in reasons(known, g.TILTS)) is opens


@pytest.mark.parametrize(
    ("region", "opens"),
    [(Region.ABDOMEN, True), (Region.LEG, True), (Region.HEAD_AND_NECK, False)],
)
def test_stretching_after_a_flap_is_cleared_for_the_abdomen_or_what_is_stretched(
    region: Region, opens: bool
) -> None:
    known = with_flap(paper(OrderSubject.STRETCHING, g.site(region)))
    assert ("flap.no_clearance" not in reasons(known, g.HAMSTRINGS)) is opens


def test_an_operation_passes_its_gate_in_its_week_and_one_of_unknown_date_never() -> None:
    wanted = SETTINGS.abdominal_weeks_by_kind[OperationKind.ABDOMINAL_FLAP]
    closed = {
        weeks: bool(abdomen.gates(with_flap(weeks=weeks), SETTINGS))
        for weeks in (None, wanted - 1, wanted)
    }
    assert closed == {None: True, wanted - 1: True, wanted: False}


UPPER, LOWER = g.site(Region.UPPER_BACK), g.site(Region.LOWER_BACK)


@pytest.mark.parametrize(
    ("cleared", "code"),
    [
        ((), "metastasis.no_clearance"),
        ((UPPER,), "metastasis.no_clearance"),
        ((UPPER, LOWER), "metastasis.cleared"),
    ],
)
def test_leave_for_work_at_a_metastasis_names_every_site_of_it(
    cleared: tuple[BodySite, ...], code: str
) -> None:
    spread = g.condition(ConditionKind.BONE_METASTASIS, UPPER, LOWER, since=date(2026, 2, 1))
    papers = (paper(OrderSubject.WORK_AT_BONE_SITE, *cleared),) if cleared else ()
    known = g.facts(reviewed=g.history(conditions=(spread,)), orders=papers)
    assert {c for c in reasons(known, g.CURLS) if c.startswith("metastasis")} == {code}


@pytest.mark.parametrize(
    ("blank", "missing"),
    [
        ({}, []),
        ({"pain": None}, ["pain"]),
        ({"pain": 0}, []),
        ({"fever": None}, ["fever"]),
        ({"fever": None, "temperature": 36.6}, []),
        ({"swelling": None}, ["swelling"]),
        ({"signs": None}, ["new symptoms"]),
    ],
)
def test_each_question_of_the_day_is_answered_by_itself(
    blank: dict[str, Any], missing: list[str]
) -> None:
    assert unanswered_questions(g.arrival(**blank)) == missing


@pytest.mark.parametrize(("themself", "answer"), [(True, False), (False, True)])
def test_nobody_supervises_themself(themself: bool, answer: bool) -> None:
    other = replace(g.THERAPIST, practitioner_id=UUID(int=99))
    named = SupervisionFacts(
        supervisor=g.THERAPIST if themself else other, works_there_that_day=True, entitled=True
    )
    assert supervised(g.facts(supervision=named)) is answer
