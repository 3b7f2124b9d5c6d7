"""Facts to start from: a client with whom everything may be done by hand, and stretches."""

from __future__ import annotations

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any
from uuid import UUID

import msgspec

from clients.clinical.domain.facts import ClientFacts
from clients.consent.domain.state import ConsentFacts
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import BodySite, Condition, HistoryContent, Operation, Radiation
from clients.health.domain.terms import ClearanceNeed, ConditionKind, NeckHistory, OperationKind
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.permissions.domain.evaluation import evaluate
from clients.permissions.domain.inputs import (
    ArrivalAnswers,
    CompetenceFacts,
    FacilityFacts,
    JurisdictionLimitFacts,
    LicenceFacts,
    PermissionFacts,
    PractitionerFacts,
)
from clients.permissions.domain.results import SessionPermissions, StretchPermission
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import (
    ContactKind,
    ContactSite,
    SideLogic,
    StretchSpec,
    StretchTag,
)
from practice.core.terms import (
    Activity,
    Allowance,
    Credential,
    Gender,
    Movement,
    Region,
    Side,
    Technique,
)

DAY = date(2026, 3, 2)
PERSON = UUID(int=1)
FACILITY = UUID(int=2)
ALL = tuple(Technique)
AI, CR, PASSIVE = Technique.ACTIVE_ISOLATED, Technique.CONTRACT_RELAX, Technique.PASSIVE


@cache
def settings() -> PermissionSettings:
    """The thresholds as the practice starts with them."""
    file = Path(__file__).parents[3] / "fixtures" / "settings" / "permissions.json"
    raw = json.loads(file.read_text(encoding="utf-8"))
    values = {key: entry["value"] for key, entry in raw.items()}
    return msgspec.convert(values, PermissionSettings)


def site(region: Region, side: Side = Side.BOTH) -> BodySite:
    return BodySite(region=region, side=side)


CONSENT = ConsentFacts(
    status=ConsentStatus.GRANTED,
    consent_id=UUID(int=3),
    sites=tuple(site(region) for region in Region),
    techniques=ALL,
    given_on=date(2026, 1, 1),
    until=date(2026, 12, 31),
    language="en",
)
HISTORY = HistoryContent(
    neck=NeckHistory.NONE, clearance_need=ClearanceNeed.NOT_NEEDED, pathology_under_treatment=True
)
THERAPIST = PractitionerFacts(
    practitioner_id=PERSON,
    credential=Credential.PHYSICAL_THERAPIST,
    gender=Gender.WOMAN,
    licences=(
        LicenceFacts(
            jurisdiction="US-PA",
            credential=Credential.PHYSICAL_THERAPIST,
            valid_from=date(2020, 1, 1),
            expires_on=date(2027, 12, 31),
        ),
    ),
    competences=tuple(CompetenceFacts(technique=t, signed_off_on=date(2024, 5, 1)) for t in ALL),
)
ALLOWED = JurisdictionLimitFacts(
    id=UUID(int=4),
    jurisdiction="US-PA",
    credential=Credential.PHYSICAL_THERAPIST,
    activity=Activity.ASSISTED_STRETCHING,
    allowance=Allowance.ALLOWED,
    source="a test's own law",
)
CLEAR = ArrivalAnswers(hands_on_today=True, pain=1, fever=False, swelling=(), signs=(), fatigue=2)
OPEN = PermissionFacts(
    client=ClientFacts(
        consent=CONSENT,
        reviewed=HISTORY,
        birth_date=date(1971, 4, 23),
        language="en",
        record_version=7,
    ),
    practitioner=THERAPIST,
    facility=FacilityFacts(facility_id=FACILITY, jurisdiction="US-PA"),
    day=DAY,
    limits=(ALLOWED,),
    arrival=CLEAR,
    settings_revision=1,
    catalogue_version=1,
)

HAND = ContactSite(region=Region.ARM)
LEG_BEHIND = ContactSite(region=Region.UPPER_BACK, side=SideLogic.BOTH, kind=ContactKind.LEG)
OTHER_SHOULDER = ContactSite(
    region=Region.SHOULDER, side=SideLogic.OPPOSITE, kind=ContactKind.SUPPORTING
)
CHEST = StretchSpec(
    code="chest",
    region=Region.CHEST,
    techniques=ALL,
    contacts=(HAND, LEG_BEHIND),
    movements=(Movement.SHOULDER_ABDUCTION,),
    tags=frozenset({StretchTag.CHEST}),
    two_armed=True,
)
CHEST_ONE_ARM = msgspec.structs.replace(CHEST, code="chest_one_arm", two_armed=False)
V = StretchSpec(
    code="v",
    region=Region.SHOULDER,
    techniques=ALL,
    contacts=(HAND,),
    movements=(Movement.SHOULDER_FLEXION,),
    tags=frozenset({StretchTag.V}),
    two_armed=True,
)
CROSS_BODY = StretchSpec(
    code="cross_body",
    region=Region.UPPER_BACK,
    techniques=ALL,
    contacts=(HAND, OTHER_SHOULDER),
    tags=frozenset({StretchTag.CROSS_BODY}),
)
TRICEPS = StretchSpec(
    code="triceps",
    region=Region.ARM,
    techniques=ALL,
    contacts=(HAND, OTHER_SHOULDER),
    tags=frozenset({StretchTag.TRICEPS}),
)
ABDUCTION = StretchSpec(
    code="abduction",
    region=Region.SHOULDER,
    techniques=ALL,
    contacts=(HAND,),
    movements=(Movement.SHOULDER_ABDUCTION,),
    tags=frozenset({StretchTag.PATTERN, StretchTag.ABDUCTION_PATTERN}),
)
FLEXION = StretchSpec(
    code="flexion",
    region=Region.SHOULDER,
    techniques=ALL,
    contacts=(HAND,),
    movements=(Movement.SHOULDER_FLEXION,),
    tags=frozenset({StretchTag.PATTERN}),
)
CHIN_TO_CHEST = StretchSpec(
    code="chin_to_chest",
    region=Region.HEAD_AND_NECK,
    techniques=(AI, PASSIVE),
    contacts=(ContactSite(region=Region.HEAD_AND_NECK, side=SideLogic.BOTH),),
    movements=(Movement.NECK_FLEXION,),
    tags=frozenset({StretchTag.NECK, StretchTag.WEIGHT_OF_HAND}),
    sided=False,
)
EAR_TO_SHOULDER = StretchSpec(
    code="ear_to_shoulder",
    region=Region.HEAD_AND_NECK,
    techniques=ALL,
    contacts=(ContactSite(region=Region.HEAD_AND_NECK), ContactSite(region=Region.SHOULDER)),
    tags=frozenset({StretchTag.NECK}),
)
TILTS = StretchSpec(
    code="tilts",
    region=Region.LOWER_BACK,
    techniques=(AI,),
    tags=frozenset({StretchTag.TILT, StretchTag.PREPARATION}),
    sided=False,
)
CURLS = StretchSpec(
    code="curls",
    region=Region.ABDOMEN,
    techniques=(AI,),
    tags=frozenset({StretchTag.CURL, StretchTag.PREPARATION}),
    sided=False,
)
BREATHING = StretchSpec(
    code="breathing",
    region=Region.CHEST,
    techniques=(AI,),
    tags=frozenset({StretchTag.BREATHING, StretchTag.PREPARATION}),
    sided=False,
)
HAMSTRINGS = StretchSpec(
    code="hamstrings", region=Region.LEG, techniques=ALL, contacts=(ContactSite(region=Region.LEG),)
)
LOW_BACK = StretchSpec(
    code="low_back",
    region=Region.LOWER_BACK,
    techniques=ALL,
    contacts=(ContactSite(region=Region.LOWER_BACK, side=SideLogic.BOTH),),
    tags=frozenset({StretchTag.TRUNK_BEND}),
    sided=False,
)
STRETCHES = (
    CHEST,
    CHEST_ONE_ARM,
    V,
    CROSS_BODY,
    TRICEPS,
    ABDUCTION,
    FLEXION,
    CHIN_TO_CHEST,
    EAR_TO_SHOULDER,
    TILTS,
    CURLS,
    BREATHING,
    HAMSTRINGS,
    LOW_BACK,
)


def healed(kind: OperationKind, side: Side, on: date | None, **more: Any) -> Operation:
    """An operation that went well: incision healed, drains out, no expander."""
    given: dict[str, Any] = {
        "id": UUID(int=50),
        "incision_healed": True,
        "donor_incision_healed": True,
        "drains_out": True,
        "expander_in": False,
        "stands_erect": True,
    }
    return Operation(kind=kind, side=side, on=on, **(given | more))


def radiation(*sites: BodySite, skin_broken: bool | None, **more: Any) -> Radiation:
    """A course whose skin, where anybody looked, was looked at on the day itself."""
    seen = {"skin_seen_on": None if skin_broken is None else DAY}
    return Radiation(id=UUID(int=60), sites=sites, skin_broken=skin_broken, **(seen | more))


def condition(kind: ConditionKind, *sites: BodySite, since: date | None = None) -> Condition:
    return Condition(id=UUID(int=70), kind=kind, sites=sites, since=since)


def clearance_order(
    *subjects: OrderSubject, sites: tuple[BodySite, ...], given_on: date, **more: Any
) -> MedicalOrder:
    """A surgeon's clearance."""
    given: dict[str, Any] = {
        "id": UUID(int=80),
        "kind": OrderKind.CLEARANCE,
        "prescriber": Prescriber.SURGEON,
        "prescriber_name": "the surgeon",
        "subjects": subjects,
        "sites": sites,
        "given_on": given_on,
    }
    return MedicalOrder(**(given | more))


def facts(base: PermissionFacts = OPEN, **changes: Any) -> PermissionFacts:
    """Facts with some of them changed; names of the client's facts go to the client."""
    client = {k: changes.pop(k) for k in list(changes) if k in ClientFacts.__struct_fields__}
    if client:
        changes["client"] = msgspec.structs.replace(base.client, **client)
    return msgspec.structs.replace(base, **changes)


def history(**changes: Any) -> HistoryContent:
    return msgspec.structs.replace(HISTORY, **changes)


def arrival(**changes: Any) -> ArrivalAnswers:
    return msgspec.structs.replace(CLEAR, **changes)


def evaluated(given: PermissionFacts, *stretches: StretchSpec) -> SessionPermissions:
    return evaluate(given, stretches or STRETCHES, settings())


def stretch_permission(
    given: PermissionFacts,
    stretch: StretchSpec,
    technique: Technique = AI,
    side: Side | None = None,
) -> StretchPermission:
    """The verdict of one stretch; its only side, or the left one."""
    found = evaluated(given, stretch).stretch_permission(
        stretch.code, technique, side or stretch.sides[0]
    )
    assert found is not None
    return found


def codes(found: StretchPermission | SessionPermissions) -> set[str]:
    return {reason.code for reason in found.reasons}


def degrees(found: StretchPermission) -> dict[str, float]:
    return {limit.movement.value: limit.degrees for limit in found.limits}
