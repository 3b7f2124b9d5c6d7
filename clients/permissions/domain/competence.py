"""Competence: a technique is practised on colleagues and signed off before it is used."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clients.health.domain.sites import technique_text
from clients.permissions.domain.findings import PermissionFinding, StretchTarget
from clients.permissions.domain.inputs import CompetenceFacts, PermissionFacts, PlaceBar
from clients.permissions.domain.place import place_reason
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode, Technique

CODE = "competence.technique"
SOURCE = "practice policy: practised on colleagues first and signed off"


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Someone who has left the practice lays no hand on its clients."""
    if not facts.practitioner.works_here:
        reason = place_reason(PlaceBar.PRACTITIONER_LEFT)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)


def for_target(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Whether the practitioner is signed off in the technique by that day."""
    if _lacks(facts, target.technique, settings):
        text = (
            f"The practitioner is not signed off in {technique_text(target.technique)} stretching."
        )
        yield PermissionFinding(Mode.SELF_DIRECTED, Reason(code=CODE, text=text, source=SOURCE))


def summary(
    facts: PermissionFacts, targets: Iterable[StretchTarget], settings: PermissionSettings
) -> Iterator[Reason]:
    """One reason for a whole session: every technique of it that is not signed off."""
    asked = sorted({target.technique for target in targets})
    lacking = [
        technique_text(technique) for technique in asked if _lacks(facts, technique, settings)
    ]
    if lacking:
        text = f"The practitioner is not signed off in: {', '.join(lacking)}."
        yield Reason(code=CODE, text=text, source=SOURCE)


def sign_offs(facts: PermissionFacts, technique: Technique) -> list[CompetenceFacts]:
    """The practitioner's sign-offs in a technique by that day."""
    return [
        competence
        for competence in facts.practitioner.competences
        if competence.technique is technique and competence.signed_off_on <= facts.day
    ]


def _lacks(facts: PermissionFacts, technique: Technique, settings: PermissionSettings) -> bool:
    return technique in settings.competence_needed and not sign_offs(facts, technique)
