"""Whether a note waits for the supervisor's co-signature (rulings 24, 43)."""

from __future__ import annotations

from datetime import timedelta

import msgspec
import pytest

from clients.permissions.domain.co_signature import reasons_to_co_sign
from clients.permissions.domain.inputs import PermissionFacts, SupervisionFacts
from practice.core.terms import Activity, Allowance, Credential, Technique
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import OTHER, TRAINER, TRAINER_LAW

replace = msgspec.structs.replace
BY_HAND = frozenset({Technique.PASSIVE})
LAW = replace(TRAINER_LAW, allowance=Allowance.UNDER_SUPERVISION)
SUPERVISION = SupervisionFacts(
    supervisor=replace(g.THERAPIST, practitioner_id=OTHER),
    works_there_that_day=True,
    entitled=True,
)


def codes(facts: PermissionFacts, by_hand: frozenset[Technique] = BY_HAND) -> list[str]:
    return [one.code for one in reasons_to_co_sign(facts, by_hand)]


@pytest.mark.parametrize("supervision", [SUPERVISION, None])
def test_work_by_hand_that_the_law_allows_only_under_supervision_is_co_signed(
    supervision: SupervisionFacts | None,
) -> None:
    """Whether or not someone was named: without one the note waits all the more."""
    known = g.facts(practitioner=TRAINER, limits=(LAW,), supervision=supervision)
    (reason,) = reasons_to_co_sign(known, BY_HAND)
    assert (reason.code, reason.text) == (
        "co_signature.law",
        f"In {LAW.jurisdiction} a personal trainer stretches by hand only under supervision.",
    )
    assert LAW.source.rstrip(".") in reason.source
    assert codes(known, frozenset()) == [], "nothing was done by hand"


@pytest.mark.parametrize("allowance", [Allowance.ALLOWED, Allowance.NOT_ALLOWED])
def test_what_the_law_allows_or_bars_outright_asks_for_no_co_signature(
    allowance: Allowance,
) -> None:
    row = replace(LAW, allowance=allowance)
    assert codes(g.facts(practitioner=TRAINER, limits=(row,), supervision=SUPERVISION)) == []


def test_a_row_of_law_counts_from_its_first_to_its_last_day_for_its_credential_and_place() -> None:
    def found(**changes: object) -> list[str]:
        return codes(g.facts(practitioner=TRAINER, limits=(replace(LAW, **changes),)))

    one = timedelta(days=1)
    assert found(effective_from=g.DAY, effective_to=g.DAY) == ["co_signature.law"]
    assert found(effective_from=g.DAY + one) == []
    assert found(effective_to=g.DAY - one) == []
    assert found(credential=Credential.MASSAGE_THERAPIST) == []
    assert found(jurisdiction="US-NV") == []


def test_exercise_stands_on_supervision_where_instructing_it_does() -> None:
    """An assistant's session without work by hand too."""
    row = replace(LAW, activity=Activity.EXERCISE_INSTRUCTION)
    known = g.facts(practitioner=TRAINER, limits=(row,))
    assert codes(known, frozenset()) == ["co_signature.law"]
    assert "instructs exercise" in reasons_to_co_sign(known, frozenset())[0].text


def test_a_technique_that_the_facility_does_only_under_supervision_is_co_signed() -> None:
    known = g.facts()
    place = replace(known.facility, techniques_supervised=(Technique.PASSIVE,))
    known = replace(known, facility=place)
    assert codes(known) == ["co_signature.facility"]
    assert codes(known, frozenset({Technique.CONTRACT_RELAX})) == []


def test_the_practice_may_have_its_supervisor_co_sign_and_by_default_does_not() -> None:
    known = g.facts(supervision=SUPERVISION)
    assert codes(known) == []
    asked = replace(known, supervision=replace(SUPERVISION, co_signs=True))
    assert codes(asked) == codes(asked, frozenset()) == ["co_signature.supervision"]


def test_who_co_signs_permits_nothing() -> None:
    known = g.facts(practitioner=TRAINER, limits=(LAW,), supervision=SUPERVISION)
    asked = replace(known, supervision=replace(SUPERVISION, co_signs=True))
    assert g.evaluated(known, g.FLEXION).mode is g.evaluated(asked, g.FLEXION).mode
