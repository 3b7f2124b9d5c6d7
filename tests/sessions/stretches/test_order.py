"""Preparation, neck, arms: the order for people at risk of arm swelling (common practice, no
source), and the warning of pooling in the trunk where preparation is missing."""

import json

import msgspec
import pytest

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.swelling_risk import at_risk_of_arm_swelling
from clients.health.domain.content import BodySite, Condition, HistoryContent, Operation, Radiation
from clients.health.domain.terms import ConditionKind, OperationKind
from practice.core.terms import Region, Side
from sessions.catalogue.domain.content import StretchContent, stretch_spec
from sessions.catalogue.domain.order import order_warnings
from tests.dsl import ids
from tests.sessions.shipped import FIXTURES

NEW = ids()
CATALOGUE = json.loads((FIXTURES / "stretches.json").read_text())
SPECS = {
    code: stretch_spec(msgspec.convert(content, StretchContent), code=code, version=1)
    for code, content in CATALOGUE.items()
}


def facts(**content: object) -> ClientFacts:
    return ClientFacts(reviewed=HistoryContent(**content))  # type: ignore[arg-type]


def operation(kind: OperationKind) -> ClientFacts:
    return facts(operations=(Operation(id=NEW(), kind=kind, side=Side.LEFT),))


@pytest.mark.parametrize(
    ("known", "expected"),
    [
        (operation(OperationKind.AXILLARY_DISSECTION), True),
        (operation(OperationKind.SENTINEL_BIOPSY), True),
        (operation(OperationKind.LUMPECTOMY), False),
        (
            facts(
                radiations=(
                    Radiation(id=NEW(), sites=(BodySite(region=Region.CHEST, side=Side.LEFT),)),
                )
            ),
            True,
        ),
        (facts(conditions=(Condition(id=NEW(), kind=ConditionKind.LYMPHEDEMA),)), True),
        (ClientFacts(), False),
    ],
)
def test_nodes_out_or_irradiated_is_at_risk(known: ClientFacts, expected: bool) -> None:
    assert at_risk_of_arm_swelling(known) is expected


def test_a_report_that_nobody_reviewed_counts() -> None:
    told = operation(OperationKind.SENTINEL_BIOPSY).reviewed
    assert told is not None
    assert at_risk_of_arm_swelling(ClientFacts(reported=(told,)))


@pytest.mark.parametrize(
    ("done", "codes"),
    [
        (["pelvic_tilts", "chin_to_chest", "abduction_pattern"], []),
        (["breathing", "abduction_pattern"], []),
        (["abduction_pattern"], ["order.preparation"]),
        (["abduction_pattern", "pelvic_tilts"], ["order.preparation"]),
        (["curls", "triceps", "ear_to_shoulder"], ["order.neck_before_arms"]),
        (["triceps", "ear_to_shoulder"], ["order.preparation", "order.neck_before_arms"]),
        (["walking", "hip_flexors"], []),
        ([], []),
    ],
)
def test_what_is_out_of_order_is_named(done: list[str], codes: list[str]) -> None:
    assert [one.code for one in order_warnings(done, SPECS)] == codes
