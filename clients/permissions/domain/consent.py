"""Touch consent: none, declined, withdrawn, ended, for others, or not for this touch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clients.clinical.domain.facts import ClientFacts
from clients.consent.domain.age import PRACTICE_POLICY, AgeOfConsent, counted_age
from clients.consent.domain.cautions import language_warning, same_language
from clients.consent.domain.days import ends_soon
from clients.consent.domain.event_texts import scope_text
from clients.consent.domain.events import NarrowedScope
from clients.consent.domain.standing import SOURCE, against_standing, stands
from clients.consent.domain.state import ConsentFacts
from clients.consent.domain.terms import ConsentSigner, ConsentStatus
from clients.health.domain.content import BodySite
from clients.health.domain.sites import (
    overlapping_sites,
    site_text,
    sites_text,
    technique_text,
    uncovered_part,
)
from clients.identity.domain.dates import birthday
from clients.permissions.domain.findings import PermissionFinding, StretchTarget
from clients.permissions.domain.inputs import ArrivalAnswers, PermissionFacts, PractitionerFacts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode

REGION, TECHNIQUE, NARROWED = "consent.region", "consent.technique", "consent.narrowed"


def _no(code: str, text: str, *, pending: bool = False) -> PermissionFinding:
    reason = Reason(code=code, text=text, source=SOURCE)
    return PermissionFinding(Mode.SELF_DIRECTED, reason, pending=pending)


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """What the consent says of the day, the signer, the practitioner and its conditions."""
    consent = facts.client.consent
    age = _age(facts, settings)
    for reason in against_standing(consent, facts.client.birth_date, facts.day, age):
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)
    if consent.status is not ConsentStatus.GRANTED:
        return
    if not _for_this_person(consent, facts.practitioner):
        yield _no("consent.other_person", "The touch consent is for other practitioners.")
    yield from _conditions(consent, facts)


def for_target(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Whether the technique and every region that is touched are in the consent."""
    consent = facts.client.consent
    if consent.status is not ConsentStatus.GRANTED:
        return
    if target.technique not in consent.techniques:
        technique = technique_text(target.technique)
        yield _no(TECHNIQUE, f"The touch consent does not name {technique} stretching.")
    for site in _outside(consent, target):
        yield _no(REGION, f"The touch consent does not cover the {site_text(site)}.")
    for scope in consent.narrowed:
        if _is_about(scope, target, facts.practitioner):
            yield _no(NARROWED, f"The client withdrew or refused: {scope_text(scope)}.")


def summary(facts: PermissionFacts, targets: Sequence[StretchTarget]) -> Iterator[Reason]:
    """One reason for each kind of gap in the consent, for a whole session, in plain words."""
    consent = facts.client.consent
    if consent.status is not ConsentStatus.GRANTED:
        return
    outside = [site for target in targets for site in _outside(consent, target)]
    if outside:
        yield _no(REGION, f"The touch consent does not cover: {sites_text(outside)}.").reason
    asked = sorted({target.technique for target in targets} - set(consent.techniques))
    if asked:
        names = ", ".join(technique_text(technique) for technique in asked)
        yield _no(TECHNIQUE, f"The touch consent does not name: {names}.").reason
    met = [
        scope
        for scope in consent.narrowed
        if any(_is_about(scope, target, facts.practitioner) for target in targets)
    ]
    if met:
        said = "; ".join(scope_text(scope) for scope in met)
        yield _no(NARROWED, f"The client withdrew or refused: {said}.").reason


def _outside(consent: ConsentFacts, target: StretchTarget) -> list[BodySite]:
    """What is touched outside the consent; of two sides only the one that is missing."""
    found = (uncovered_part(consent.sites, site) for site in target.contacts)
    return [site for site in found if site is not None]


def _is_about(scope: NarrowedScope, target: StretchTarget, person: PractitionerFacts) -> bool:
    """Whether a withdrawal of a part speaks of this stretch, technique and practitioner."""
    if scope.practitioner_ids and person.practitioner_id not in scope.practitioner_ids:
        return False
    if scope.techniques and target.technique not in scope.techniques:
        return False
    return not scope.sites or bool(overlapping_sites(scope.sites, target.contacts))


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """A consent that ends soon after the session, or was not explained in the client's language;
    a birth date that is not known."""
    consent = facts.client.consent
    if consent.status is not ConsentStatus.GRANTED or consent.until is None:
        return
    if facts.client.birth_date is None:
        text = "The birth date is not known: whether the client consents alone is not known."
        yield Reason(code="consent.age_unknown", text=text, source=PRACTICE_POLICY)
    foreign = language_warning(consent.language, facts.client.language, consent.interpreter_name)
    if foreign is not None:
        yield foreign
    standing = stands(consent, facts.client.birth_date, facts.day, _age(facts, settings))
    if standing and ends_soon(facts.day, consent.until, settings.consent_warning_days):
        text = f"The touch consent ends on {consent.until.isoformat()}."
        yield Reason(code="consent.ends_soon", text=text, source=SOURCE)


def signed_as_adult(client: ClientFacts, oldest: int) -> bool:
    """Whether the client signed alone at an age from which nobody asks (``oldest``, years)."""
    consent = client.consent
    if client.birth_date is None or consent.given_on is None:
        return True
    alone = consent.signer is ConsentSigner.CLIENT
    return alone and consent.given_on >= birthday(client.birth_date, oldest)


def _age(facts: PermissionFacts, settings: PermissionSettings) -> AgeOfConsent:
    law = facts.consent_age
    if law is None:
        return AgeOfConsent(settings.consent_age_years, PRACTICE_POLICY)
    years = counted_age(law.years, settings.consent_age_years, verified=law.verified)
    return AgeOfConsent(years, law.source)


def _for_this_person(consent: ConsentFacts, person: PractitionerFacts) -> bool:
    if consent.practitioner_ids and person.practitioner_id not in consent.practitioner_ids:
        return False
    return consent.gender is None or consent.gender is person.gender


def _conditions(consent: ConsentFacts, facts: PermissionFacts) -> Iterator[PermissionFinding]:
    arrival = facts.arrival
    if consent.support_person:
        there = arrival.companion_present if arrival else None
        if not there:
            text = "The client wants a support person there for hands-on work."
            yield _no("consent.support_person", text, pending=there is None)
    if consent.interpreter:
        there = arrival.interpreter_present if arrival else None
        if not there:
            text = "The client wants an interpreter there for hands-on work."
            yield _no("consent.interpreter", text, pending=there is None)
        elif arrival and not _interprets(arrival, facts.client):
            text = (
                f"The interpreter there interprets '{arrival.interpreter_language}'; the client's "
                f"language is '{facts.client.language}'."
            )
            yield _no("consent.interpreter_language", text)


def _interprets(arrival: ArrivalAnswers, client: ClientFacts) -> bool:
    """Whether the interpreter has the client's language; what is not known does not narrow."""
    known = arrival.interpreter_language and client.language
    return not known or same_language(arrival.interpreter_language, client.language)
