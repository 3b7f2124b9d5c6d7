"""Whether a touch consent stands on a day, by its days and its signer; who is asked for one."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import msgspec
import pytest

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.standing import (
    Consenting,
    against_standing,
    age_matters,
    stands,
    who_consents,
    who_renews,
)
from clients.consent.domain.state import ConsentFacts
from clients.consent.domain.terms import ConsentSigner, ConsentStatus

AGE = AgeOfConsent(18, "a test")
BORN, OF_AGE = date(2008, 3, 9), date(2026, 3, 9)
DAY = timedelta(days=1)
GIVEN = ConsentFacts(
    status=ConsentStatus.GRANTED, given_on=OF_AGE, until=OF_AGE + timedelta(days=99)
)


def given(**changed: Any) -> ConsentFacts:
    return msgspec.structs.replace(GIVEN, **changed)


def codes(consent: ConsentFacts, day: date = OF_AGE, born: date | None = BORN) -> list[str]:
    return [one.code for one in against_standing(consent, born, day, AGE)]


@pytest.mark.parametrize(
    ("consent", "day", "found"),
    [
        (ConsentFacts(), OF_AGE, ["consent.none"]),
        (given(status=ConsentStatus.DECLINED), OF_AGE, ["consent.declined"]),
        (given(status=ConsentStatus.WITHDRAWN), OF_AGE, ["consent.withdrawn"]),
        (given(status=ConsentStatus.SUSPENDED), OF_AGE, ["consent.suspended"]),
        (GIVEN, OF_AGE, []),
        (GIVEN, OF_AGE - DAY, ["consent.not_yet"]),
        (GIVEN, OF_AGE + 99 * DAY, []),
        (GIVEN, OF_AGE + 100 * DAY, ["consent.expired"]),
        (given(until=None), OF_AGE, ["consent.no_end"]),
    ],
)
def test_it_stands_while_it_is_granted_from_its_first_to_its_last_day(
    consent: ConsentFacts, day: date, found: list[str]
) -> None:
    assert codes(consent, day) == found
    assert stands(consent, BORN, day, AGE) is (found == [])


def test_who_signed_alone_a_day_before_they_were_of_age_could_not() -> None:
    """Ruling 56, at both sides of the birthday."""
    assert codes(given(given_on=OF_AGE)) == []
    assert codes(given(given_on=OF_AGE - DAY)) == ["consent.minor"]
    assert codes(given(given_on=OF_AGE - DAY, adult_proof=True)) == []
    assert codes(given(given_on=OF_AGE - DAY), born=None) == []


def test_a_guardians_consent_stands_until_the_day_before_the_birthday() -> None:
    by_guardian = given(signer=ConsentSigner.GUARDIAN, given_on=OF_AGE - 9 * DAY)
    assert codes(by_guardian, OF_AGE - DAY) == []
    assert codes(by_guardian, OF_AGE) == ["consent.guardian_ended"]


def test_a_minor_is_not_asked_and_neither_is_the_guardian_of_one_who_is_of_age() -> None:
    assert who_consents(GIVEN, BORN, OF_AGE - DAY, AGE) is Consenting.GUARDIAN
    assert who_consents(GIVEN, BORN, OF_AGE, AGE) is Consenting.CLIENT
    assert who_consents(given(adult_proof=True), BORN, OF_AGE - DAY, AGE) is Consenting.CLIENT
    assert who_consents(GIVEN, None, OF_AGE - DAY, AGE) is Consenting.CLIENT


def test_the_next_consent_is_asked_of_who_consents_on_the_day_after_the_last() -> None:
    assert who_renews(given(until=OF_AGE - DAY), BORN, AGE) is Consenting.CLIENT
    assert who_renews(given(until=OF_AGE - 2 * DAY), BORN, AGE) is Consenting.GUARDIAN
    assert who_renews(given(until=None), BORN, AGE) is Consenting.CLIENT


def test_law_is_asked_only_of_whom_it_can_concern() -> None:
    """The highest age anywhere is 18 here: asked until that birthday, and of who signed before."""
    assert age_matters(GIVEN, BORN, OF_AGE - DAY, 18)
    assert not age_matters(GIVEN, BORN, OF_AGE, 18)
    assert age_matters(given(given_on=OF_AGE - DAY), BORN, OF_AGE, 18)
    assert age_matters(given(signer=ConsentSigner.GUARDIAN), BORN, OF_AGE, 18)
    assert not age_matters(ConsentFacts(), BORN, OF_AGE, 18)
    assert not age_matters(GIVEN, None, OF_AGE - DAY, 18)
