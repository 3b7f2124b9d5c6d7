"""Which limbs are at risk of swelling (common practice, no source), side by side and by day."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest

from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.limbs import LoadedLimb
from clients.clinical.domain.operations import weeks_since
from clients.clinical.domain.swelling_risk import (
    affected_arms,
    arms_at_risk,
    at_risk_of_swelling,
    limbs_at_risk,
    limbs_with_lymphedema,
)
from clients.health.domain.content import HistoryContent, Radiation
from clients.health.domain.terms import ConditionKind, OperationKind
from practice.core.terms import Region, Side
from tests.clients.permissions import given as g

LATER = g.DAY + timedelta(days=1)


def client(**content: object) -> ClientFacts:
    return ClientFacts(reviewed=HistoryContent(**content))  # type: ignore[arg-type]


def operated(kind: OperationKind, on: date | None = None, side: Side = Side.LEFT) -> ClientFacts:
    return client(operations=(g.healed(kind, side, on),))


def swollen(*sites: object) -> ClientFacts:
    return client(conditions=(g.condition(ConditionKind.LYMPHEDEMA, *sites),))  # type: ignore[arg-type]


def irradiated(region: Region, begins: date | None = None) -> ClientFacts:
    course = Radiation(id=UUID(int=61), sites=(g.site(region, Side.LEFT),), from_date=begins)
    return client(radiations=(course,))


@pytest.mark.parametrize(
    ("known", "arms"),
    [
        (operated(OperationKind.AXILLARY_DISSECTION), {Side.LEFT}),
        (operated(OperationKind.SENTINEL_BIOPSY, side=Side.BOTH), {Side.LEFT, Side.RIGHT}),
        (operated(OperationKind.SENTINEL_BIOPSY, on=g.DAY), {Side.LEFT}),
        (operated(OperationKind.SENTINEL_BIOPSY, on=LATER), set()),
        (operated(OperationKind.LUMPECTOMY), set()),
        (irradiated(Region.CHEST), {Side.LEFT}),
        (irradiated(Region.CHEST, begins=LATER), set()),
        (irradiated(Region.LEG), set()),
        (swollen(g.site(Region.ARM, Side.RIGHT)), {Side.RIGHT}),
        (swollen(g.site(Region.LEG, Side.RIGHT)), set()),
        (swollen(), {Side.LEFT, Side.RIGHT}),
        (ClientFacts(), set()),
    ],
)
def test_arms_at_risk_by_nodes_radiation_and_lymphedema(
    known: ClientFacts, arms: set[Side]
) -> None:
    assert arms_at_risk(known, g.DAY) == arms
    assert at_risk_of_swelling(known, g.DAY) is (bool(arms) or known == LEG)


LEG = swollen(g.site(Region.LEG, Side.RIGHT))


def test_a_swollen_leg_is_a_limb_at_risk_too() -> None:
    assert limbs_at_risk(LEG, g.DAY) == limbs_with_lymphedema(LEG, g.DAY) == {LoadedLimb.RIGHT_LEG}


def test_a_report_that_nobody_reviewed_counts() -> None:
    told = operated(OperationKind.SENTINEL_BIOPSY).reviewed
    assert told is not None
    assert arms_at_risk(ClientFacts(reported=(told,)), g.DAY) == {Side.LEFT}


def test_affected_arms_are_those_operated_on_irradiated_or_swollen() -> None:
    regions = g.settings().operation_regions
    assert affected_arms(operated(OperationKind.LUMPECTOMY), g.DAY, regions) == {Side.LEFT}
    assert affected_arms(operated(OperationKind.PELVIC), g.DAY, regions) == set()
    unknown = affected_arms(operated(OperationKind.OTHER), g.DAY, regions)
    assert unknown == {Side.LEFT}, "of an unknown kind with no region named it may be anywhere"


def test_weeks_count_from_the_latest_operation_and_not_at_all_with_a_date_unknown() -> None:
    old = g.healed(OperationKind.MASTECTOMY, Side.LEFT, g.DAY - timedelta(days=100))
    new = g.healed(OperationKind.IMPLANT, Side.LEFT, g.DAY - timedelta(days=20))
    undated = g.healed(OperationKind.OTHER, Side.LEFT, None)
    assert weeks_since([old, new], g.DAY) == 2
    assert weeks_since([old, new, undated], g.DAY) is None
    assert weeks_since([], g.DAY) is None
