"""Whether a touch consent stands on a day: what was said, its days, and who signed it. Pure.

Permissions, the consent as it is shown, and the desk ask this one judgement.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from enum import StrEnum

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.state import ConsentFacts
from clients.consent.domain.terms import ConsentSigner, ConsentStatus
from clients.identity.domain.dates import birthday
from practice.core.reasons import Reason

SOURCE = "the client's own touch consent"
REASONS_WITHOUT_CONSENT = {
    ConsentStatus.NONE: ("consent.none", "No touch consent is on record."),
    ConsentStatus.DECLINED: ("consent.declined", "The client declined touch."),
    ConsentStatus.WITHDRAWN: ("consent.withdrawn", "The client withdrew touch consent."),
    ConsentStatus.SUSPENDED: (
        "consent.suspended",
        "Touch consent is suspended since a withdrawal said earlier: ask whether it stands.",
    ),
}


class Consenting(StrEnum):
    """Who is asked for a consent."""

    CLIENT = "client"
    GUARDIAN = "guardian"


def against_standing(
    consent: ConsentFacts, birth_date: date | None, day: date, age: AgeOfConsent
) -> Iterator[Reason]:
    """Why a touch consent does not stand on a local day, whoever is to touch; none where it
    does."""
    if consent.status in REASONS_WITHOUT_CONSENT:
        code, text = REASONS_WITHOUT_CONSENT[consent.status]
        yield Reason(code=code, text=text, source=SOURCE)
        return
    yield from _days(consent, day)
    yield from against_signer(consent, birth_date, day, age)


def against_signer(
    consent: ConsentFacts, birth_date: date | None, day: date, age: AgeOfConsent
) -> Iterator[Reason]:
    """Below the age of medical consent a guardian's consent is needed, until that birthday."""
    if birth_date is None or consent.status is not ConsentStatus.GRANTED:
        return
    of_age_on = birthday(birth_date, age.years)
    if consent.signer is ConsentSigner.GUARDIAN:
        if day >= of_age_on:
            text = (
                f"The guardian's consent ended on {of_age_on.isoformat()}, when the client became "
                f"{age.years}: the client consents for themself now."
            )
            yield Reason(code="consent.guardian_ended", text=text, source=age.source)
    elif not consent.adult_proof and consent.given_on and consent.given_on < of_age_on:
        text = (
            f"The client was below the age of medical consent ({age.years}) when they signed "
            "alone: a guardian's consent is needed"
        )
        text += "." if day < of_age_on else ", or the client's own of today."
        yield Reason(code="consent.minor", text=text, source=age.source)


def stands(consent: ConsentFacts, birth_date: date | None, day: date, age: AgeOfConsent) -> bool:
    """Whether a touch consent stands on a local day, whoever is to touch."""
    return not any(against_standing(consent, birth_date, day, age))


def who_consents(
    consent: ConsentFacts, birth_date: date | None, day: date, age: AgeOfConsent
) -> Consenting:
    """Who is asked for a consent that is to count on a day: a guardian for a minor of whom no
    paper shows that they consent alone; the client where the birth date is not known."""
    if birth_date is None or consent.adult_proof or day >= birthday(birth_date, age.years):
        return Consenting.CLIENT
    return Consenting.GUARDIAN


def age_matters(consent: ConsentFacts, birth_date: date | None, day: date, oldest: int) -> bool:
    """Whether the judgement of a day can turn on the age of consent; ``oldest``: the highest age
    in years that there is."""
    if birth_date is None:
        return False
    of_age_on = birthday(birth_date, oldest)
    signed = consent.given_on or day
    return consent.signer is ConsentSigner.GUARDIAN or min(day, signed) < of_age_on


def who_renews(consent: ConsentFacts, birth_date: date | None, age: AgeOfConsent) -> Consenting:
    """Who is asked for the consent that is to follow on one that ends."""
    if consent.until is None:
        return Consenting.CLIENT
    return who_consents(consent, birth_date, consent.until + timedelta(days=1), age)


def _days(consent: ConsentFacts, day: date) -> Iterator[Reason]:
    if consent.given_on is None or consent.given_on > day:
        text = "The touch consent had not been given on that day."
        yield Reason(code="consent.not_yet", text=text, source=SOURCE)
    if consent.until is None:
        text = "The touch consent names no last day."
        yield Reason(code="consent.no_end", text=text, source=SOURCE)
    elif consent.until < day:
        text = f"The touch consent ended on {consent.until.isoformat()}."
        yield Reason(code="consent.expired", text=text, source=SOURCE)
