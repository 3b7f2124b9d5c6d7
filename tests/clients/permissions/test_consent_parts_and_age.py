"""Parts of a consent withdrawn (ruling 46), the age of consent and its language (ruling 56)."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.consent.domain.events import NarrowedScope
from clients.consent.domain.terms import ConsentSigner, ConsentStatus
from clients.permissions.domain.consent import signed_as_adult
from clients.permissions.domain.inputs import ConsentAgeFacts
from practice.core.terms import Mode, Region, Side, Technique
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
FOURTEEN = ConsentAgeFacts(years=14, source="made-up law on consent")


def mode(given: Any, technique: Technique, side: Side) -> Mode:
    found = g.evaluated(given, g.FLEXION).stretch_permissions
    [permission] = [one for one in found if (one.technique, one.side) == (technique, side)]
    return permission.mode


def without(**scope: Any) -> Any:
    return g.facts(consent=replace(g.CONSENT, narrowed=(NarrowedScope(**scope),)))


def test_a_part_withdrawn_closes_its_side_technique_and_person_alone() -> None:
    active, passive = Technique.ACTIVE_ISOLATED, Technique.PASSIVE
    left = tuple(g.site(region, Side.LEFT) for region in (Region.SHOULDER, Region.ARM))
    for given, closed in (
        (without(sites=left), {(active, Side.LEFT), (passive, Side.LEFT)}),
        (without(techniques=(passive,)), {(passive, Side.LEFT), (passive, Side.RIGHT)}),
        (without(sites=left, techniques=(passive,)), {(passive, Side.LEFT)}),
        (without(practitioner_ids=(UUID(int=404),)), set()),
        (
            without(practitioner_ids=(g.PERSON,), techniques=(active,)),
            {(active, Side.LEFT), (active, Side.RIGHT)},
        ),
    ):
        for technique in (active, passive):
            for side in (Side.LEFT, Side.RIGHT):
                is_closed = mode(given, technique, side) is not Mode.HANDS_ON
                assert is_closed == ((technique, side) in closed), (technique, side)


def test_a_suspended_consent_lets_nothing_be_done_by_hand() -> None:
    permissions = g.evaluated(g.facts(consent=replace(g.CONSENT, status=ConsentStatus.SUSPENDED)))
    assert permissions.mode is Mode.SELF_DIRECTED
    assert "consent.suspended" in g.codes(permissions)


def of(signer: ConsentSigner, born: date, law: ConsentAgeFacts | None = None, **more: Any) -> Any:
    consent = replace(g.CONSENT, signer=signer, **more)
    return replace(g.facts(consent=consent, birth_date=born), consent_age=law)


@pytest.mark.parametrize(
    ("born", "law", "closed"),
    [
        (date(2008, 1, 1), None, False),  # 18 on the day of the signature, 1 January 2026
        (date(2008, 1, 2), None, True),  # signed the day before that birthday
        (date(2012, 1, 1), FOURTEEN, False),
        (date(2012, 1, 2), FOURTEEN, True),
    ],
)
def test_what_a_client_signed_alone_below_the_age_of_consent_grants_nothing(
    born: date, law: ConsentAgeFacts | None, closed: bool
) -> None:
    permissions = g.evaluated(of(ConsentSigner.CLIENT, born, law))
    assert (permissions.mode is Mode.SELF_DIRECTED) == closed
    assert ("consent.minor" in g.codes(permissions)) == closed
    if closed and law:
        [reason] = [one for one in permissions.reasons if one.code == "consent.minor"]
        assert reason.source == law.source


def test_proof_that_a_client_is_emancipated_or_married_makes_the_signature_count() -> None:
    given = of(ConsentSigner.CLIENT, date(2010, 6, 1), adult_proof=True)
    assert g.evaluated(given).mode is Mode.HANDS_ON


@pytest.mark.parametrize(("born", "ended"), [(date(2008, 3, 3), False), (date(2008, 3, 2), True)])
def test_a_guardians_consent_ends_on_the_birthday_by_the_sessions_day(
    born: date, ended: bool
) -> None:
    given = of(ConsentSigner.GUARDIAN, born)
    assert given.day == date(2026, 3, 2)
    permissions = g.evaluated(given)
    assert (permissions.mode is Mode.SELF_DIRECTED) == ended
    assert ("consent.guardian_ended" in g.codes(permissions)) == ended


def test_only_a_client_who_signed_alone_as_an_adult_needs_no_row_of_law() -> None:
    born_21_years_before = replace(g.OPEN.client, birth_date=date(2005, 1, 1))
    assert signed_as_adult(born_21_years_before, 21)
    assert not signed_as_adult(replace(born_21_years_before, birth_date=date(2005, 1, 2)), 21)
    guardian = replace(g.CONSENT, signer=ConsentSigner.GUARDIAN)
    assert not signed_as_adult(replace(born_21_years_before, consent=guardian), 21)


@pytest.mark.parametrize(
    ("explained_in", "language", "interpreter", "warned"),
    [
        ("en", "en", "", False),
        ("es", "es-MX", "", False),
        ("en", "es", "", True),
        ("en", "es", "Luz Ferrer", False),
    ],
)
def test_a_consent_explained_in_another_language_warns(
    explained_in: str, language: str, interpreter: str, warned: bool
) -> None:
    consent = replace(g.CONSENT, language=explained_in, interpreter_name=interpreter)
    permissions = g.evaluated(g.facts(consent=consent, language=language))
    assert permissions.mode is Mode.HANDS_ON
    assert ("consent.language" in {one.code for one in permissions.warnings}) == warned


def test_an_unknown_birth_date_warns_and_closes_nothing() -> None:
    permissions = g.evaluated(g.facts(birth_date=None))
    assert permissions.mode is Mode.HANDS_ON
    assert "consent.age_unknown" in {one.code for one in permissions.warnings}


@pytest.mark.parametrize(("born", "ends"), [(date(2008, 1, 1), True), (date(2008, 1, 2), False)])
def test_a_consent_that_does_not_stand_is_not_said_to_end(born: date, ends: bool) -> None:
    permissions = g.evaluated(of(ConsentSigner.CLIENT, born, until=g.facts().day))
    assert ("consent.ends_soon" in [one.code for one in permissions.warnings]) is ends
