"""Rows of law: what a credential may do in a jurisdiction, and what a payer asks besides.

Where a rule has no published source it is common practice or practice policy, as the
reason itself says.
"""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec
import pytest

from clients.consent.domain.terms import ConsentStatus
from clients.orders.domain.terms import OrderKind, Prescriber
from clients.permissions.domain.inputs import (
    FacilityFacts,
    JurisdictionLimitFacts,
    SupervisionFacts,
    TreatmentFacts,
)
from practice.core.terms import Activity, Allowance, Credential, Mode, SupervisionLevel
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import OTHER, PAYER, TRAINER, TRAINER_LAW

replace = msgspec.structs.replace


def test_unknown_law_is_self_directed_for_every_credential() -> None:
    for credential in Credential:
        person = replace(
            g.THERAPIST,
            credential=credential,
            licences=(replace(g.THERAPIST.licences[0], credential=credential),),
        )
        permissions = g.evaluated(g.facts(practitioner=person, limits=()))
        assert permissions.mode is Mode.SELF_DIRECTED
        assert "law.unknown" in g.codes(permissions)


def test_a_trainer_whose_jurisdiction_does_not_allow_it_works_self_directed() -> None:
    # Common practice, no source: in US-CA a personal trainer may not stretch by hand.
    row = replace(
        TRAINER_LAW,
        jurisdiction="US-CA",
        allowance=Allowance.NOT_ALLOWED,
        source="common practice, no source",
    )
    california = FacilityFacts(facility_id=g.FACILITY, jurisdiction="US-CA")
    permissions = g.evaluated(g.facts(practitioner=TRAINER, limits=(row,), facility=california))
    assert permissions.mode is Mode.SELF_DIRECTED
    [reason] = [r for r in permissions.reasons if r.code == "law.not_allowed"]
    assert reason.source == "common practice, no source. Not verified by this practice."
    assert permissions.versions.limit_rows == (row.id,)


def test_a_limit_may_depend_on_whether_a_pathology_is_under_treatment() -> None:
    # 49 Pa. Code section 40.3: unlicensed exercise and massage only without a specific pathology.
    source = "49 Pa. Code section 40.3"
    well = replace(TRAINER_LAW, pathology=False, source=source)
    ill = replace(
        TRAINER_LAW,
        id=UUID(int=7),
        pathology=True,
        allowance=Allowance.NOT_ALLOWED,
        source=source,
    )
    table = (well, ill)
    treated = g.evaluated(g.facts(practitioner=TRAINER, limits=table), g.FLEXION)
    assert treated.mode is Mode.SELF_DIRECTED
    none = g.history(pathology_under_treatment=False)
    free = g.facts(practitioner=TRAINER, limits=table, reviewed=none)
    assert g.evaluated(free, g.FLEXION).mode is Mode.HANDS_ON
    reported = g.facts(free, reported=(g.history(),))
    assert g.evaluated(reported, g.FLEXION).mode is Mode.SELF_DIRECTED, "a report frees nothing"


def test_a_pathology_that_nobody_asked_about_counts_as_under_treatment() -> None:
    # 49 Pa. Code section 40.3: unlicensed exercise and massage only without a specific pathology.
    well = replace(TRAINER_LAW, pathology=False, source="49 Pa. Code section 40.3")
    for pathology, mode in ((None, Mode.SELF_DIRECTED), (False, Mode.HANDS_ON)):
        known = g.facts(
            practitioner=TRAINER,
            limits=(well,),
            reviewed=g.history(pathology_under_treatment=pathology),
        )
        assert g.evaluated(known, g.FLEXION).mode is mode
    unasked = g.facts(known, reported=(g.history(pathology_under_treatment=None),))
    assert g.evaluated(unasked, g.FLEXION).mode is Mode.SELF_DIRECTED, "a report frees nothing"


def test_a_limit_counts_between_its_effective_dates() -> None:
    barred = replace(g.ALLOWED, id=UUID(int=8), allowance=Allowance.NOT_ALLOWED)
    later = replace(barred, effective_from=date(2026, 3, 3))
    past = replace(barred, effective_to=date(2026, 3, 1))
    today = replace(barred, effective_from=g.DAY, effective_to=g.DAY)
    assert g.evaluated(g.facts(limits=(g.ALLOWED, later, past)), g.FLEXION).mode is Mode.HANDS_ON
    assert g.evaluated(g.facts(limits=(g.ALLOWED, today)), g.FLEXION).mode is Mode.SELF_DIRECTED


def test_the_strictest_row_wins_and_a_payers_row_counts_for_its_clients_only() -> None:
    # ruling 24: jurisdiction, credential and payer
    law = replace(
        TRAINER_LAW,
        allowance=Allowance.UNDER_SUPERVISION,
        supervision=SupervisionLevel.GENERAL,
    )
    payers = replace(law, id=UUID(int=77), supervision=SupervisionLevel.DIRECT, payer_id=PAYER)
    named = SupervisionFacts(
        supervisor=replace(g.THERAPIST, practitioner_id=OTHER),
        works_there_that_day=False,
        entitled=True,
    )
    known = g.facts(practitioner=TRAINER, limits=(law, payers), supervision=named)
    assert g.evaluated(known, g.FLEXION).mode is Mode.HANDS_ON
    paid = g.evaluated(replace(known, payers=(PAYER,)), g.FLEXION)
    assert paid.mode is Mode.SELF_DIRECTED
    assert UUID(int=77) in paid.versions.limit_rows


def test_a_payers_row_never_stands_for_the_law() -> None:
    row = replace(g.ALLOWED, payer_id=PAYER)
    permissions = g.evaluated(g.facts(limits=(row,), payers=(PAYER,)), g.FLEXION)
    assert permissions.mode is Mode.SELF_DIRECTED
    assert "law.unknown" in g.codes(permissions)


def test_reasons_of_law_say_when_they_were_verified() -> None:
    # issue section A, with ruling 45: a row that nobody verified says so
    def sources(verified_on: date | None) -> list[str]:
        row = replace(g.ALLOWED, allowance=Allowance.NOT_ALLOWED, verified_on=verified_on)
        found = g.evaluated(g.facts(limits=(row,)), g.FLEXION)
        return [one.source for one in found.reasons if one.code == "law.not_allowed"]

    assert sources(date(2026, 2, 1)) == ["a test's own law. Verified on 2026-02-01."]
    assert sources(None) == ["a test's own law. Not verified by this practice."]


def test_who_may_not_even_instruct_exercise_has_nothing_left_where_touch_is_not_possible() -> None:
    row = JurisdictionLimitFacts(
        id=UUID(int=9),
        jurisdiction="US-PA",
        credential=Credential.PHYSICAL_THERAPIST,
        activity=Activity.EXERCISE_INSTRUCTION,
        allowance=Allowance.NOT_ALLOWED,
        source="a test's own law",
    )
    known = g.facts(limits=(g.ALLOWED, row))
    assert g.evaluated(known, g.FLEXION).mode is Mode.HANDS_ON
    declined = replace(g.CONSENT, status=ConsentStatus.DECLINED)
    without = g.evaluated(g.facts(known, consent=declined))
    assert without.mode is Mode.NOT_TODAY
    assert "law.instruction" in g.codes(without)


@pytest.mark.parametrize(
    ("first", "visits", "warned"),
    [
        (date(2026, 1, 17), 3, False),  # the 45th calendar day, the first visit's own counted
        (date(2026, 1, 16), 3, True),
        (date(2026, 2, 20), 11, False),
        (date(2026, 2, 20), 12, True),
    ],
)
def test_treatment_without_a_physician_warns_after_45_days_or_12_visits(
    first: date, visits: int, warned: bool
) -> None:
    # US-CA Business and Professions Code section 2620.1: 45 calendar days or 12 visits,
    # whichever occurs first, then a dated signature on the plan of care.
    row = replace(g.ALLOWED, direct_access_days=45, direct_access_visits=12)
    known = g.facts(
        limits=(row,), treatment=TreatmentFacts(first_visit_on=first, visits_before=visits)
    )
    permissions = g.evaluated(known, g.FLEXION)
    assert permissions.mode is Mode.HANDS_ON, "it warns, it does not forbid"
    assert bool([w for w in permissions.warnings if w.code == "law.without_physician"]) is warned
    signature = g.clearance_order(
        sites=(),
        given_on=date(2026, 2, 25),
        kind=OrderKind.PLAN_SIGNATURE,
        prescriber=Prescriber.PHYSICIAN,
    )
    assert not g.evaluated(g.facts(known, orders=(signature,))).warnings
