"""The facility's policy, which can only narrow."""

from __future__ import annotations

from collections.abc import Iterator

from clients.health.domain.sites import technique_text
from clients.permissions.domain import law
from clients.permissions.domain.findings import PermissionFinding, StretchTarget
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode

SOURCE = "practice policy: the facility's own rules"


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Whether anything is done by hand there."""
    if not facts.facility.hands_on:
        text = "This facility has no hands-on work."
        reason = Reason(code="facility.hands_on", text=text, source=SOURCE)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)


def for_target(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Whether the technique and the regions touched are done by hand there."""
    technique = technique_text(target.technique)
    if target.technique in facts.facility.techniques_supervised and not law.supervised(facts):
        text = f"At this facility {technique} stretching is done under a named supervisor only."
        reason = Reason(code="facility.supervision", text=text, source=SOURCE)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)
    if target.technique in facts.facility.techniques_barred:
        text = f"This facility does not have {technique} stretching done by hand."
        reason = Reason(code="facility.technique", text=text, source=SOURCE)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)
    for site in target.contacts:
        if site.region in facts.facility.regions_barred:
            region = site.region.value.replace("_", " ")
            text = f"This facility does not have the {region} touched."
            reason = Reason(code="facility.region", text=text, source=SOURCE)
            yield PermissionFinding(Mode.SELF_DIRECTED, reason)
