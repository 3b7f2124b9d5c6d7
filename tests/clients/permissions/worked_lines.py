"""One worked client for each kind of question about what may be done today, 1 to 13.

Data for ``test_worked_lines.py``, and for the print-out of ``test_worked_clients.py``.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec

from clients.clinical.domain.fact_dates import with_late_facts
from clients.consent.domain.state import CONSENT, ConsentFacts
from clients.health.domain.content import BloodCount, HistoryContent
from clients.health.domain.terms import BloodCountKind, ConditionKind, Limb, OperationKind, RedFlag
from clients.orders.domain.terms import OrderSubject, Prescriber
from clients.permissions.domain.inputs import (
    JurisdictionLimitFacts,
    PermissionFacts,
    ProgrammeStretch,
    StopFacts,
    SupervisionFacts,
    SwollenLimb,
)
from practice.core.terms import Allowance, Credential, Region, Side, SupervisionLevel
from tests.clients.permissions import given as g
from tests.clients.test_consent_ledger import GRANT, RENEWAL, WITHDRAWN, at
from tests.dsl import given

replace = msgspec.structs.replace


def ago(days: int) -> date:
    return g.DAY - timedelta(days=days)


def line_1() -> PermissionFacts:
    """A metastasis in the left arm and fragile bone; the clearance for load names the right arm."""
    there = (g.site(Region.ARM, Side.LEFT), g.site(Region.SHOULDER, Side.LEFT))
    known = g.condition(ConditionKind.BONE_METASTASIS, *there, since=ago(60))
    paper = g.clearance_order(
        OrderSubject.LOAD,
        sites=(g.site(Region.ARM, Side.RIGHT),),
        given_on=ago(7),
        prescriber=Prescriber.PHYSICIAN,
    )
    fragile = replace(g.condition(ConditionKind.BONE_FRAGILITY), id=UUID(int=71))
    return g.facts(reviewed=g.history(conditions=(known, fragile)), orders=(paper,))


def line_2() -> PermissionFacts:
    """Two weeks after a hysterectomy; an unhealed donor incision on the left back, an expander."""
    return g.facts(
        reviewed=g.history(
            operations=(
                g.healed(OperationKind.HYSTERECTOMY, Side.BOTH, ago(14)),
                g.healed(
                    OperationKind.LATISSIMUS_RECONSTRUCTION,
                    Side.LEFT,
                    ago(200),
                    id=UUID(int=51),
                    donor_incision_healed=False,
                    expander_in=True,
                ),
            )
        )
    )


def line_3() -> PermissionFacts:
    """On the programme for the right arm, which the consent leaves out, and for the left leg."""
    sites = tuple(
        g.site(region, side)
        for region in Region
        for side in (Side.LEFT, Side.RIGHT)
        if side is Side.LEFT or region not in (Region.ARM, Region.SHOULDER)
    )
    return g.facts(
        consent=replace(g.CONSENT, sites=sites),
        programme=(
            ProgrammeStretch(stretch="flexion", techniques=(g.AI,), side=Side.RIGHT),
            ProgrammeStretch(stretch="hamstrings", techniques=(g.AI,), side=Side.LEFT),
        ),
    )


def line_4() -> PermissionFacts:
    """Chest pain said in the morning, nobody has looked; every answer of the afternoon is well."""
    return g.facts(arrival=g.arrival(standing=(RedFlag.CHEST_PAIN,), words_unreviewed=True))


def line_5() -> PermissionFacts:
    """A condition in free words, few platelets, a port, radiation in progress that was not seen."""
    chest = g.site(Region.CHEST, Side.RIGHT)
    return g.facts(
        reviewed=g.history(
            conditions=(
                replace(g.condition(ConditionKind.OTHER), text="my hand tingles at night"),
                replace(
                    g.condition(ConditionKind.IMPLANTED_PORT, chest, since=ago(90)),
                    id=UUID(int=72),
                ),
            ),
            radiations=(g.radiation(chest, skin_broken=None, from_date=ago(20)),),
            blood_counts=(
                BloodCount(
                    id=UUID(int=73), kind=BloodCountKind.PLATELETS, value=28, drawn_on=ago(2)
                ),
            ),
        )
    )


def line_6() -> PermissionFacts:
    """An operation of three weeks ago that was reported only today, as it counts since its day."""
    told = HistoryContent(
        operations=(g.healed(OperationKind.MASTECTOMY, Side.LEFT, ago(21)),),
        pathology_under_treatment=True,
    )
    now = replace(g.OPEN.client, reported=(told,))
    return replace(g.OPEN, client=with_late_facts(g.OPEN.client, now))


def line_7() -> PermissionFacts:
    """Consent given, renewed at noon, and withdrawn by a call of the morning entered after that."""
    told = given(CONSENT, (GRANT, at(100)), (RENEWAL, at(5)), (WITHDRAWN, at(7)))
    consent: ConsentFacts = told.state.touch
    return g.facts(consent=consent)


def line_8() -> PermissionFacts:
    """Touch was stopped at minute 20, the whole session at minute 40: after the second."""
    return g.facts(stop=StopFacts(minute=40, everything=True))


def line_9() -> PermissionFacts:
    """Sixteen years old, signed alone; an operation is planned for that day."""
    ahead = g.healed(OperationKind.MASTECTOMY, Side.LEFT, g.DAY, planned=True)
    return g.facts(
        birth_date=date(2009, 6, 1), reviewed=g.history(operations=(ahead,)), language="es"
    )


def line_10() -> PermissionFacts:
    """The left arm grew since it was measured last; lymphedema is on record there."""
    swells = g.condition(ConditionKind.LYMPHEDEMA, g.site(Region.ARM, Side.LEFT))
    grown = SwollenLimb(limb=Limb.ARM, side=Side.LEFT)
    return g.facts(
        reviewed=g.history(conditions=(swells,)), growing_limbs=(grown,), watched_limbs=(grown,)
    )


def line_11() -> PermissionFacts:
    """Three weeks after a flap: tilts and curls are closed, breathing is what is left of them."""
    flap = g.healed(OperationKind.ABDOMINAL_FLAP, Side.BOTH, ago(21), donor_incision_healed=False)
    return g.facts(reviewed=g.history(operations=(flap,)))


def _supervised(credential: Credential, **more: Any) -> PermissionFacts:
    """Under a named supervisor, where the law asks for one who works there that day."""
    law = JurisdictionLimitFacts(
        id=UUID(int=41),
        jurisdiction="US-PA",
        credential=credential,
        activity=g.ALLOWED.activity,
        allowance=Allowance.UNDER_SUPERVISION,
        supervision=SupervisionLevel.DIRECT,
        source="a test's own law",
        verified_on=date(2026, 2, 1),
        revision=2,
    )
    licence = replace(g.THERAPIST.licences[0], id=UUID(int=31), credential=credential, revision=1)
    person = replace(
        g.THERAPIST, practitioner_id=UUID(int=12), credential=credential, licences=(licence,)
    )
    named = SupervisionFacts(
        supervisor=replace(
            g.THERAPIST, licences=(replace(g.THERAPIST.licences[0], id=UUID(int=32)),)
        ),
        works_there_that_day=True,
        entitled=True,
        id=UUID(int=35),
        revision=4,
    )
    return g.facts(practitioner=person, limits=(law,), supervision=replace(named, **more))


def line_12() -> PermissionFacts:
    """A massage therapist under a supervisor whom the practice's table does not entitle."""
    return _supervised(Credential.MASSAGE_THERAPIST, entitled=False)


def line_13() -> PermissionFacts:
    """An assistant of a physical therapist whose supervisor does not work there that day."""
    return _supervised(Credential.PHYSICAL_THERAPIST_ASSISTANT, works_there_that_day=False)


LINES = (
    line_1,
    line_2,
    line_3,
    line_4,
    line_5,
    line_6,
    line_7,
    line_8,
    line_9,
    line_10,
    line_11,
    line_12,
    line_13,
)
