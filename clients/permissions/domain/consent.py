"""Touch consent: none, declined, withdrawn, ended, for others, or not for this touch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from clients.consent.domain.state import ConsentFacts
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import BodySite
from clients.health.domain.sites import site_text, sites_text, technique_text, uncovered_part
from clients.permissions.domain.findings import PermissionFinding, StretchTarget
from clients.permissions.domain.inputs import PermissionFacts, PractitionerFacts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode

SOURCE = "the client's own touch consent"
REGION, TECHNIQUE = "consent.region", "consent.technique"
REASONS_WITHOUT_CONSENT = {
    ConsentStatus.NONE: ("consent.none", "No touch consent is on record."),
    ConsentStatus.DECLINED: ("consent.declined", "The client declined touch."),
    ConsentStatus.WITHDRAWN: ("consent.withdrawn", "The client withdrew touch consent."),
}


def _no(code: str, text: str, *, pending: bool = False) -> PermissionFinding:
    reason = Reason(code=code, text=text, source=SOURCE)
    return PermissionFinding(Mode.SELF_DIRECTED, reason, pending=pending)


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """What the consent says of the day, the practitioner and the conditions the client made."""
    consent = facts.client.consent
    if consent.status in REASONS_WITHOUT_CONSENT:
        yield _no(*REASONS_WITHOUT_CONSENT[consent.status])
        return
    yield from _days(consent, facts.day)
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


def _outside(consent: ConsentFacts, target: StretchTarget) -> list[BodySite]:
    """What is touched outside the consent; of two sides only the one that is missing."""
    found = (uncovered_part(consent.sites, site) for site in target.contacts)
    return [site for site in found if site is not None]


def warnings(facts: PermissionFacts, settings: PermissionSettings) -> Iterator[Reason]:
    """A consent that ends soon after the session."""
    consent = facts.client.consent
    if consent.status is not ConsentStatus.GRANTED or consent.until is None:
        return
    if facts.day <= consent.until <= facts.day + timedelta(days=settings.consent_warning_days):
        text = f"The touch consent ends on {consent.until.isoformat()}."
        yield Reason(code="consent.ends_soon", text=text, source=SOURCE)


def _days(consent: ConsentFacts, day: date) -> Iterator[PermissionFinding]:
    if consent.given_on is None or consent.given_on > day:
        yield _no("consent.not_yet", "The touch consent had not been given on that day.")
    if consent.until is None:
        yield _no("consent.no_end", "The touch consent names no last day.")
    elif consent.until < day:
        ended = f"The touch consent ended on {consent.until.isoformat()}."
        yield _no("consent.expired", ended)


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
