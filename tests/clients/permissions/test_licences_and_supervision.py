"""Who may touch here: licences, supervision, sign-offs, and what the facility leaves open."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec
import pytest

from clients.permissions.domain.inputs import LicenceFacts, SupervisionFacts
from practice.core.terms import Allowance, Credential, Mode, Region, SupervisionLevel
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import OTHER, TRAINER, TRAINER_LAW

replace = msgspec.structs.replace


@pytest.mark.parametrize(
    "licences",
    [
        (),
        (replace(g.THERAPIST.licences[0], expires_on=date(2026, 3, 1)),),
        (replace(g.THERAPIST.licences[0], expires_on=None),),
        (replace(g.THERAPIST.licences[0], valid_from=date(2026, 3, 3)),),
        (replace(g.THERAPIST.licences[0], jurisdiction="US-CA"),),
        (replace(g.THERAPIST.licences[0], credential=Credential.MASSAGE_THERAPIST),),
    ],
)
def test_a_licence_that_is_not_valid_there_that_day_is_none(
    licences: tuple[LicenceFacts, ...],
) -> None:
    person = replace(g.THERAPIST, licences=licences)
    permissions = g.evaluated(g.facts(practitioner=person))
    assert permissions.mode is Mode.SELF_DIRECTED
    assert "law.licence" in g.codes(permissions)


def test_a_licence_counts_on_its_first_and_its_last_day() -> None:
    licence = replace(g.THERAPIST.licences[0], valid_from=g.DAY, expires_on=g.DAY)
    person = replace(g.THERAPIST, licences=(licence,))
    assert g.evaluated(g.facts(practitioner=person), g.FLEXION).mode is Mode.HANDS_ON


def test_under_supervision_asks_for_a_named_supervisor_licensed_there_who_works_that_day() -> None:
    row = replace(TRAINER_LAW, allowance=Allowance.UNDER_SUPERVISION)
    known = g.facts(practitioner=TRAINER, limits=(row,))
    supervisor = replace(g.THERAPIST, practitioner_id=OTHER)
    there = SupervisionFacts(supervisor=supervisor, works_there_that_day=True, entitled=True)

    def mode(supervision: SupervisionFacts | None) -> Mode:
        return g.evaluated(replace(known, supervision=supervision), g.FLEXION).mode

    assert mode(there) is Mode.HANDS_ON
    assert mode(None) is Mode.SELF_DIRECTED
    assert mode(replace(there, works_there_that_day=False)) is Mode.SELF_DIRECTED
    assert mode(replace(there, supervisor=replace(supervisor, licences=()))) is Mode.SELF_DIRECTED
    assert mode(replace(there, supervisor=TRAINER)) is Mode.SELF_DIRECTED


@pytest.mark.parametrize(
    ("level", "works_there", "mode"),
    [
        (SupervisionLevel.GENERAL, False, Mode.HANDS_ON),
        (SupervisionLevel.GENERAL, True, Mode.HANDS_ON),
        (SupervisionLevel.DIRECT, True, Mode.HANDS_ON),
        (SupervisionLevel.DIRECT, False, Mode.SELF_DIRECTED),
    ],
)
def test_how_near_the_supervisor_must_be_is_a_row_of_law(
    level: SupervisionLevel, works_there: bool, mode: Mode
) -> None:
    # ruling 24: general, reachable; direct, working at that facility that day
    row = replace(TRAINER_LAW, allowance=Allowance.UNDER_SUPERVISION, supervision=level)
    named = SupervisionFacts(
        supervisor=replace(g.THERAPIST, practitioner_id=OTHER),
        works_there_that_day=works_there,
        entitled=True,
    )
    known = g.facts(practitioner=TRAINER, limits=(row,), supervision=named)
    assert g.evaluated(known, g.FLEXION).mode is mode


@pytest.mark.parametrize("changes", [{"entitled": False}, {"works_here": False}])
def test_who_may_not_supervise_or_has_left_supervises_nobody(changes: dict[str, bool]) -> None:
    # ruling 55: by the practice's table of credentials
    row = replace(
        TRAINER_LAW,
        allowance=Allowance.UNDER_SUPERVISION,
        supervision=SupervisionLevel.GENERAL,
    )
    named = SupervisionFacts(
        supervisor=replace(
            g.THERAPIST, practitioner_id=OTHER, works_here=changes.get("works_here", True)
        ),
        works_there_that_day=True,
        entitled=changes.get("entitled", True),
    )
    known = g.facts(practitioner=TRAINER, limits=(row,), supervision=named)
    permissions = g.evaluated(known, g.FLEXION)
    assert permissions.mode is Mode.SELF_DIRECTED
    assert "law.supervision" in g.codes(permissions)


def test_what_was_used_is_named_at_its_revision() -> None:
    # ruling 55: licence, sign-off, supervision, limits, consent, orders and settings
    licence = replace(g.THERAPIST.licences[0], id=UUID(int=31), revision=3)
    expired = replace(licence, id=UUID(int=32), expires_on=date(2026, 3, 1))
    sign_off = replace(g.THERAPIST.competences[0], id=UUID(int=33), revision=1)
    person = replace(g.THERAPIST, licences=(licence, expired), competences=(sign_off,))
    supervisor = replace(
        g.THERAPIST, practitioner_id=OTHER, licences=(replace(licence, id=UUID(int=34)),)
    )
    named = SupervisionFacts(
        supervisor=supervisor,
        works_there_that_day=True,
        entitled=True,
        id=UUID(int=35),
        revision=2,
    )
    order = g.clearance_order(sites=(), given_on=date(2026, 2, 1))
    ended = replace(order, id=UUID(int=99), lifted_on=g.DAY)
    known = g.facts(practitioner=person, supervision=named, orders=(order, ended))
    versions = g.evaluated(known, g.FLEXION).versions
    assert {(row.kind.value, row.id.int, row.revision) for row in versions.rows} == {
        ("licence", 31, 3),
        ("sign_off", 33, 1),
        ("supervision", 35, 2),
        ("supervisor_licence", 34, 3),
        ("limit", 4, 0),
    }
    assert versions.orders == (order.id,)


def test_a_facility_only_narrows() -> None:
    policy = g.OPEN.facility
    none = g.facts(facility=replace(policy, hands_on=False))
    assert g.evaluated(none).mode is Mode.SELF_DIRECTED
    no_passive = g.facts(facility=replace(policy, techniques_barred=(g.PASSIVE,)))
    assert g.stretch_permission(no_passive, g.FLEXION, g.PASSIVE).mode is Mode.NOT_TODAY
    assert g.stretch_permission(no_passive, g.FLEXION).mode is Mode.HANDS_ON
    no_neck = g.facts(facility=replace(policy, regions_barred=(Region.HEAD_AND_NECK,)))
    assert g.stretch_permission(no_neck, g.CHIN_TO_CHEST).mode is Mode.SELF_DIRECTED
    supervised = g.facts(facility=replace(policy, techniques_supervised=(g.PASSIVE,)))
    assert "facility.supervision" in g.codes(g.stretch_permission(supervised, g.FLEXION, g.PASSIVE))


def test_each_technique_needs_its_own_sign_off_unless_the_practice_relaxed_it() -> None:
    novice = replace(g.THERAPIST, competences=g.THERAPIST.competences[:1])
    known = g.facts(practitioner=novice)
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.HANDS_ON
    assert "competence.technique" in g.codes(g.stretch_permission(known, g.FLEXION, g.CR))
    unsigned = g.facts(practitioner=replace(g.THERAPIST, competences=()))
    assert g.stretch_permission(unsigned, g.FLEXION).mode is Mode.SELF_DIRECTED
    relaxed = replace(g.settings(), competence_needed=(g.CR, g.PASSIVE))
    assert g.evaluate(unsigned, (g.FLEXION,), relaxed).mode is Mode.HANDS_ON
    future = replace(novice.competences[0], signed_off_on=date(2026, 3, 3))
    late = g.facts(practitioner=replace(novice, competences=(future,)))
    assert g.stretch_permission(late, g.FLEXION).mode is Mode.SELF_DIRECTED


def test_someone_who_has_left_lays_no_hand_on_a_client() -> None:
    left = g.evaluated(g.facts(practitioner=replace(g.THERAPIST, works_here=False)), g.FLEXION)
    assert left.mode is Mode.SELF_DIRECTED
    assert "practitioner.left" in g.codes(left)
