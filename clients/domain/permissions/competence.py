"""Competence: a technique is practised on colleagues and signed off before it is used."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.permissions.findings import Finding, Target
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from practice.domain.reasons import Reason
from practice.domain.terms import Mode

SOURCE = "practice policy: practised on colleagues first and signed off"


def for_target(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Whether the practitioner is signed off in the technique by that day."""
    if target.technique not in settings.competence_needed:
        return
    if not any(
        competence.technique is target.technique and competence.signed_off_on <= facts.day
        for competence in facts.practitioner.competences
    ):
        technique = target.technique.value.replace("_", " ")
        text = f"The practitioner is not signed off in {technique} stretching."
        reason = Reason(code="competence.technique", text=text, source=SOURCE)
        yield Finding(Mode.SELF_DIRECTED, reason)
