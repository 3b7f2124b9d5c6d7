"""Competence: a technique is practised on colleagues and signed off before it is used."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clients.domain.permissions.findings import Finding, Target
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.sites import spoken
from practice.domain.reasons import Reason
from practice.domain.terms import Mode, Technique

CODE = "competence.technique"
SOURCE = "practice policy: practised on colleagues first and signed off"


def for_session(facts: Facts, settings: PermissionSettings) -> Iterator[Finding]:
    """Someone who has left the practice lays no hand on its clients."""
    if not facts.practitioner.works_here:
        text = "The practitioner does not work here any more: plan the session with another."
        reason = Reason(code="practitioner.left", text=text, source="practice policy")
        yield Finding(Mode.SELF_DIRECTED, reason)


def for_target(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Whether the practitioner is signed off in the technique by that day."""
    if _lacks(facts, target.technique, settings):
        text = f"The practitioner is not signed off in {spoken(target.technique)} stretching."
        yield Finding(Mode.SELF_DIRECTED, Reason(code=CODE, text=text, source=SOURCE))


def summary(
    facts: Facts, targets: Iterable[Target], settings: PermissionSettings
) -> Iterator[Reason]:
    """One reason for a whole session: every technique of it that is not signed off."""
    asked = sorted({target.technique for target in targets})
    lacking = [spoken(technique) for technique in asked if _lacks(facts, technique, settings)]
    if lacking:
        text = f"The practitioner is not signed off in: {', '.join(lacking)}."
        yield Reason(code=CODE, text=text, source=SOURCE)


def _lacks(facts: Facts, technique: Technique, settings: PermissionSettings) -> bool:
    return technique in settings.competence_needed and not any(
        competence.technique is technique and competence.signed_off_on <= facts.day
        for competence in facts.practitioner.competences
    )
