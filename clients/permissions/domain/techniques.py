"""What the techniques themselves ask for, and the range a position needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clients.health.domain.content import RangeLimit
from clients.health.domain.sites import technique_text
from clients.permissions.domain.findings import (
    COMMON_PRACTICE,
    PermissionFinding,
    StretchTarget,
    clinical_reason,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.results import NO_CONTACT
from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Reason
from practice.core.terms import Mode, Movement

SOURCE = f"{COMMON_PRACTICE}, no source"


def no_contact(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """A stretch without any contact is the client's own."""
    if not target.contacts:
        text = "Nobody touches the client in this one: the client does it alone."
        reason = Reason(code=NO_CONTACT, text=text, source=SOURCE)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)


def not_alone(target: StretchTarget) -> PermissionFinding:
    """Passive and contract-relax cannot be done by the client alone."""
    text = f"The client cannot do a {technique_text(target.technique)} stretch alone."
    reason = Reason(code="technique.not_alone", text=text, source=SOURCE)
    return PermissionFinding(Mode.NOT_TODAY, reason)


def strictest_limits(findings: Iterable[PermissionFinding]) -> tuple[RangeLimit, ...]:
    """The greatest degrees of each movement that all findings leave."""
    least: dict[Movement, float] = {}
    for finding in findings:
        for limit in finding.limits:
            least[limit.movement] = min(limit.degrees, least.get(limit.movement, limit.degrees))
    return tuple(RangeLimit(movement=move, degrees=least[move]) for move in sorted(least))


def out_of_reach(
    target: StretchTarget, limits: Iterable[RangeLimit]
) -> Iterator[PermissionFinding]:
    """A position that needs more range than the limits leave cannot be taken."""
    left = {limit.movement: limit.degrees for limit in limits}
    for need in target.spec.needs:
        if left.get(need.movement, need.degrees) < need.degrees:
            movement = need.movement.value.replace("_", " ")
            text = (
                f"Its position needs {need.degrees:g} degrees of {movement}; only "
                f"{left[need.movement]:g} are allowed today."
            )
            yield PermissionFinding(Mode.NOT_TODAY, clinical_reason("range.position", text, SOURCE))
