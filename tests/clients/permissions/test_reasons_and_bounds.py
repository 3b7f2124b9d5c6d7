"""Which stretches a rule concerns, what its reason says, and where it stops to hold."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import msgspec
import pytest

from clients.clinical.domain.blood_counts import HeededCount
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import Condition
from clients.health.domain.terms import BloodCountKind, ConditionKind, OperationKind
from clients.orders.domain.terms import OrderSubject, Prescriber
from clients.permissions.domain import blood, conditions, law
from clients.permissions.domain.findings import StretchTarget
from clients.permissions.domain.inputs import PainFreeHeight, SupervisionFacts
from clients.permissions.domain.preference import used_exception_id
from clients.permissions.domain.stretch import StretchTag
from clients.preference.domain.state import PreferenceException, ProviderPreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import (
    Activity,
    Allowance,
    Gender,
    Mode,
    Movement,
    Region,
    Side,
    SupervisionLevel,
)
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
EXCEPTION = UUID(int=91)
INSTRUCTION = replace(g.ALLOWED, activity=Activity.EXERCISE_INSTRUCTION)


@pytest.mark.parametrize(
    ("region", "movements", "raises"),
    [
        (Region.UPPER_BACK, (Movement.SHOULDER_FLEXION,), True),
        (Region.UPPER_BACK, (Movement.NECK_FLEXION, Movement.SHOULDER_ABDUCTION), True),
        (Region.UPPER_BACK, (Movement.NECK_FLEXION,), False),
        (Region.UPPER_BACK, (), False),
        (Region.SHOULDER, (), True),
    ],
)
def test_what_concerns_the_raised_arm(
    region: Region, movements: tuple[Movement, ...], raises: bool
) -> None:
    spec = replace(g.HAMSTRINGS, region=region, movements=movements)
    assert StretchTarget(spec, g.AI, Side.LEFT).raises_arm is raises


@pytest.mark.parametrize(
    ("region", "tags", "neck"),
    [
        (Region.HEAD_AND_NECK, (), True),
        (Region.SHOULDER, (StretchTag.NECK,), True),
        (Region.HEAD_AND_NECK, (StretchTag.NECK,), True),
        (Region.SHOULDER, (), False),
    ],
)
def test_a_stretch_is_of_the_neck_by_its_region_or_by_its_tag(
    region: Region, tags: tuple[StretchTag, ...], neck: bool
) -> None:
    spec = replace(g.HAMSTRINGS, region=region, tags=frozenset(tags))
    assert StretchTarget(spec, g.AI, Side.LEFT).neck is neck


def test_only_law_that_asks_for_a_supervisor_speaks_of_one() -> None:
    def bars(allowance: Allowance) -> list[str]:
        row = replace(INSTRUCTION, allowance=allowance, supervision=SupervisionLevel.GENERAL)
        return [one.text for one in law.instruction_bars(g.facts(limits=(row,)))]

    may_not = "In US-PA a physical therapist may not instruct this client's exercise"
    assert bars(Allowance.NOT_ALLOWED) == [f"{may_not}."]
    assert bars(Allowance.UNDER_SUPERVISION) == [
        f"{may_not} without a named supervisor who can be reached."
    ]
    assert bars(Allowance.ALLOWED) == []


@pytest.mark.parametrize(("supervisor", "mode"), [(99, Mode.HANDS_ON), (1, Mode.SELF_DIRECTED)])
@pytest.mark.parametrize("level", SupervisionLevel)
def test_nobody_supervises_themselves(supervisor: int, mode: Mode, level: SupervisionLevel) -> None:
    """Not by the law of the place, and not by the facility's own rules either."""
    row = replace(g.ALLOWED, allowance=Allowance.UNDER_SUPERVISION, supervision=level)
    named = SupervisionFacts(
        supervisor=replace(g.THERAPIST, practitioner_id=UUID(int=supervisor)),
        works_there_that_day=True,
        entitled=True,
    )
    assert g.evaluated(g.facts(limits=(row,), supervision=named), g.FLEXION).mode is mode
    strict = replace(g.OPEN.facility, techniques_supervised=(g.AI,))
    known = g.facts(facility=strict, supervision=named)
    assert g.stretch_permission(known, g.FLEXION).mode is mode


@pytest.mark.parametrize(
    ("status", "code"),
    [
        (ConsentStatus.WITHDRAWN, "consent.withdrawn"),
        (ConsentStatus.NONE, "consent.none"),
    ],
)
def test_without_a_consent_its_missing_parts_are_no_reasons_besides(
    status: ConsentStatus, code: str
) -> None:
    none = replace(g.CONSENT, status=status, sites=(), techniques=())
    assert g.codes(g.stretch_permission(g.facts(consent=none), g.FLEXION)) == {code}
    bare = replace(none, status=ConsentStatus.GRANTED)
    assert g.codes(g.stretch_permission(g.facts(consent=bare), g.FLEXION)) == {
        "consent.region",
        "consent.technique",
    }


@pytest.mark.parametrize(
    ("gender", "used"), [(Gender.MAN, EXCEPTION), (Gender.WOMAN, None), (None, None)]
)
def test_an_exception_is_used_only_where_the_practitioner_is_not_the_one_preferred(
    gender: Gender | None, used: UUID | None
) -> None:
    scope = PreferenceScope.ALL_WORK
    preference = ProviderPreference(scope=scope, gender=gender) if gender else None
    made = PreferenceException(practitioner_id=g.PERSON, exception_id=EXCEPTION, on=g.DAY)
    assert used_exception_id(g.facts(preference=preference, exceptions=(made,))) == used


def test_breathing_in_contract_relax_is_spoken_of_only_with_a_heart_condition() -> None:
    def cautions(*known: Condition) -> set[str]:
        told = g.facts(reviewed=g.history(conditions=known))
        return {one.code for one in g.stretch_permission(told, g.HAMSTRINGS, g.CR).cautions}

    assert "heart.breath" in cautions(g.condition(ConditionKind.HEART_DISEASE))
    assert "heart.breath" not in cautions()
    assert "heart.breath" not in cautions(g.condition(ConditionKind.LYMPHEDEMA))


def test_a_drooping_shoulder_waits_for_an_answer_only_while_none_was_given() -> None:
    droop = g.condition(ConditionKind.DROOPING_SHOULDER, g.site(Region.SHOULDER, Side.LEFT))
    known = g.facts(reviewed=g.history(conditions=(droop,)))
    before = g.stretch_permission(replace(known, arrival=None), g.FLEXION)
    assert (before.mode, before.planned) == (Mode.SELF_DIRECTED, Mode.HANDS_ON)
    unsaid = g.stretch_permission(known, g.FLEXION)
    assert (unsaid.mode, unsaid.planned) == (Mode.SELF_DIRECTED, Mode.SELF_DIRECTED)
    height = PainFreeHeight(side=Side.LEFT, pinches=False, degrees=80)
    said = replace(known, arrival=g.arrival(shoulders=(height,)))
    assert g.stretch_permission(said, g.FLEXION).mode is Mode.HANDS_ON


@pytest.mark.parametrize("who", Prescriber)
def test_a_suspicion_is_answered_by_any_physicians_clearance_not_the_surgeons_alone(
    who: Prescriber,
) -> None:
    kind = ConditionKind.BONE_METASTASIS
    found = replace(g.condition(kind, since=g.DAY - timedelta(days=9)), suspected=True)
    known = g.facts(reviewed=g.history(conditions=(found,)))
    assert conditions.open_suspicions(known, g.settings(), kind) == [found]
    order = g.clearance_order(
        OrderSubject.WORK_AT_BONE_SITE,
        sites=(),
        given_on=g.DAY - timedelta(days=1),
        prescriber=who,
    )
    cleared = g.facts(known, orders=(order,))
    assert conditions.open_suspicions(cleared, g.settings(), kind) == []


def test_a_void_clearance_names_the_latest_operation_that_voided_it() -> None:
    first, last = date(2026, 2, 1), date(2026, 2, 20)
    done = [
        g.healed(OperationKind.LUMPECTOMY, Side.LEFT, on, id=UUID(int=50 + number))
        for number, on in enumerate((first, last))
    ]
    order = g.clearance_order(
        OrderSubject.STRETCHING,
        sites=(g.site(Region.CHEST, Side.LEFT), g.site(Region.SHOULDER, Side.LEFT)),
        given_on=date(2026, 1, 20),
    )
    known = g.facts(reviewed=g.history(operations=tuple(done)), orders=(order,))
    [text] = [one.text for one in g.evaluated(known).warnings if one.code == "clearance.void"]
    assert last.isoformat() in text
    assert first.isoformat() not in text


def test_a_count_is_said_as_a_number_only_where_one_was_drawn() -> None:
    kind = BloodCountKind.PLATELETS
    drawn = blood._said(HeededCount(kind, 19.0, g.DAY, unknown=False))
    assert "19" in drawn
    assert "not known" not in drawn
    unknown = blood._said(HeededCount(kind, float("inf"), None, unknown=True))
    assert "not known" in unknown
    assert "inf" not in unknown
