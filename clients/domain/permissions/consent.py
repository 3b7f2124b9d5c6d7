"""Touch consent: none, declined, withdrawn, ended, for others, or not for this touch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from clients.domain.health import Site
from clients.domain.permissions.findings import Finding, Target
from clients.domain.permissions.inputs import Facts, PractitionerFacts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.sites import named, spoken, together, uncovered
from clients.domain.state.consent import TouchConsent
from clients.domain.terms import ConsentStatus
from practice.domain.reasons import Reason
from practice.domain.terms import Mode

SOURCE = "the client's own touch consent"
REGION, TECHNIQUE = "consent.region", "consent.technique"
WITHOUT = {
    ConsentStatus.NONE: ("consent.none", "No touch consent is on record."),
    ConsentStatus.DECLINED: ("consent.declined", "The client declined touch."),
    ConsentStatus.WITHDRAWN: ("consent.withdrawn", "The client withdrew her touch consent."),
}


def _no(code: str, text: str, *, pending: bool = False) -> Finding:
    reason = Reason(code=code, text=text, source=SOURCE)
    return Finding(Mode.SELF_DIRECTED, reason, pending=pending)


def for_session(facts: Facts, settings: PermissionSettings) -> Iterator[Finding]:
    """What the consent says of the day, the practitioner and the conditions she made."""
    consent = facts.client.consent
    if consent.status in WITHOUT:
        yield _no(*WITHOUT[consent.status])
        return
    yield from _days(consent, facts.day)
    if not _for_this_person(consent, facts.practitioner):
        yield _no("consent.other_person", "Her touch consent is for other practitioners.")
    yield from _conditions(consent, facts)


def for_target(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Whether the technique and every region that is touched are in the consent."""
    consent = facts.client.consent
    if consent.status is not ConsentStatus.GRANTED:
        return
    if target.technique not in consent.techniques:
        technique = spoken(target.technique)
        yield _no(TECHNIQUE, f"Her touch consent does not name {technique} stretching.")
    for site in _outside(consent, target):
        yield _no(REGION, f"Her touch consent does not cover the {named(site)}.")


def summary(facts: Facts, targets: Sequence[Target]) -> Iterator[Reason]:
    """One reason for each kind of gap in the consent, for a whole session, in plain words."""
    consent = facts.client.consent
    if consent.status is not ConsentStatus.GRANTED:
        return
    outside = [site for target in targets for site in _outside(consent, target)]
    if outside:
        yield _no(REGION, f"Her touch consent does not cover: {together(outside)}.").reason
    asked = sorted({target.technique for target in targets} - set(consent.techniques))
    if asked:
        names = ", ".join(spoken(technique) for technique in asked)
        yield _no(TECHNIQUE, f"Her touch consent does not name: {names}.").reason


def _outside(consent: TouchConsent, target: Target) -> list[Site]:
    """What is touched outside the consent; of two sides only the one that is missing."""
    found = (uncovered(consent.sites, site) for site in target.contacts)
    return [site for site in found if site is not None]


def warnings(facts: Facts, settings: PermissionSettings) -> Iterator[Reason]:
    """A consent that ends soon after the session."""
    consent = facts.client.consent
    if consent.status is not ConsentStatus.GRANTED or consent.until is None:
        return
    if facts.day <= consent.until <= facts.day + timedelta(days=settings.consent_warning_days):
        text = f"Her touch consent ends on {consent.until.isoformat()}."
        yield Reason(code="consent.ends_soon", text=text, source=SOURCE)


def _days(consent: TouchConsent, day: date) -> Iterator[Finding]:
    if consent.given_on is None or consent.given_on > day:
        yield _no("consent.not_yet", "Her touch consent had not been given on that day.")
    if consent.until is None:
        yield _no("consent.no_end", "Her touch consent names no last day.")
    elif consent.until < day:
        ended = f"Her touch consent ended on {consent.until.isoformat()}."
        yield _no("consent.expired", ended)


def _for_this_person(consent: TouchConsent, person: PractitionerFacts) -> bool:
    if consent.practitioners and person.practitioner_id not in consent.practitioners:
        return False
    return consent.gender is None or consent.gender is person.gender


def _conditions(consent: TouchConsent, facts: Facts) -> Iterator[Finding]:
    arrival = facts.arrival
    if consent.support_person:
        there = arrival.companion_present if arrival else None
        if not there:
            text = "She wants her support person there for hands-on work."
            yield _no("consent.support_person", text, pending=there is None)
    if consent.interpreter:
        there = arrival.interpreter_present if arrival else None
        if not there:
            text = "She wants an interpreter there for hands-on work."
            yield _no("consent.interpreter", text, pending=there is None)
