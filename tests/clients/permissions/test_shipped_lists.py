"""The lists that ship: whose licence is asked for, and what an operation is known to touch."""

from __future__ import annotations

from datetime import date

import msgspec
import pytest

from clients.clinical.domain.operations import operated_sites
from clients.health.domain.terms import OperationKind
from practice.core.terms import Credential, Region, Side
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
LICENSED = (
    Credential.PHYSICAL_THERAPIST,
    Credential.OCCUPATIONAL_THERAPIST,
    Credential.MASSAGE_THERAPIST,
    Credential.PHYSICAL_THERAPIST_ASSISTANT,
    Credential.OCCUPATIONAL_THERAPY_ASSISTANT,
)


@pytest.mark.parametrize("credential", Credential)
def test_a_licence_is_asked_of_every_credential_that_states_license(
    credential: Credential,
) -> None:
    # Practice policy; a personal trainer has no licence in any state (common practice, no source).
    person = replace(g.THERAPIST, credential=credential, licences=())
    found = g.codes(g.evaluated(g.facts(practitioner=person)))
    assert ("law.licence" in found) is (credential in LICENSED)


CHEST, SHOULDER, ARM = Region.CHEST, Region.SHOULDER, Region.ARM
ABDOMEN, LOWER_BACK, HIP, LEG = Region.ABDOMEN, Region.LOWER_BACK, Region.HIP, Region.LEG
UPPER_BACK, NECK = Region.UPPER_BACK, Region.HEAD_AND_NECK
# Practice policy; common practice, no source.
TOUCHED = {
    OperationKind.MASTECTOMY: {CHEST, SHOULDER, ARM},
    OperationKind.LUMPECTOMY: {CHEST, SHOULDER},
    OperationKind.AXILLARY_DISSECTION: {CHEST, SHOULDER, ARM},
    OperationKind.SENTINEL_BIOPSY: {CHEST, SHOULDER, ARM},
    OperationKind.EXPANDER: {CHEST, SHOULDER},
    OperationKind.IMPLANT: {CHEST, SHOULDER},
    OperationKind.LATISSIMUS_RECONSTRUCTION: {CHEST, SHOULDER, ARM, UPPER_BACK},
    OperationKind.ABDOMINAL_FLAP: {CHEST, SHOULDER, ABDOMEN, LOWER_BACK, HIP},
    OperationKind.HEAD_AND_NECK: {NECK, SHOULDER},
    OperationKind.THORACIC: {CHEST, SHOULDER, UPPER_BACK},
    OperationKind.ABDOMINAL: {ABDOMEN, LOWER_BACK, HIP},
    OperationKind.PELVIC: {ABDOMEN, HIP, LEG},
    OperationKind.PROSTATECTOMY: {ABDOMEN, HIP, LEG},
    OperationKind.HYSTERECTOMY: {ABDOMEN, HIP, LEG},
    OperationKind.PELVIC_FLOOR: {ABDOMEN, HIP, LEG},
    OperationKind.STOMA: {ABDOMEN, LOWER_BACK, HIP},
}


@pytest.mark.parametrize("kind", TOUCHED)
def test_an_operation_touches_at_least_these_regions(kind: OperationKind) -> None:
    operation = g.healed(kind, Side.LEFT, date(2026, 1, 5))
    sites = operated_sites(operation, g.settings().operation_regions)
    assert {site.region for site in sites} == TOUCHED[kind]


def test_an_operation_of_another_kind_may_have_touched_every_region() -> None:
    assert set(OperationKind) - TOUCHED.keys() == {OperationKind.OTHER}
    operation = g.healed(OperationKind.OTHER, Side.LEFT, date(2026, 1, 5))
    sites = operated_sites(operation, g.settings().operation_regions)
    assert {site.region for site in sites} == set(Region)
