"""What the techniques themselves ask for, and the range a position needs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clients.domain.health import Limit
from clients.domain.permissions.findings import COMMON_PRACTICE, Finding, Target, clinical
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.sites import spoken
from practice.domain.reasons import Reason
from practice.domain.terms import Mode, Movement

SOURCE = f"{COMMON_PRACTICE}, no source"


def untouched(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """A stretch without any contact is the client's own."""
    if not target.contacts:
        text = "Nobody touches her in this one: she does it herself."
        reason = Reason(code="technique.no_contact", text=text, source=SOURCE)
        yield Finding(Mode.SELF_DIRECTED, reason)


def not_alone(target: Target) -> Finding:
    """Passive and contract-relax cannot be done by the client alone."""
    text = f"She cannot do a {spoken(target.technique)} stretch alone."
    reason = Reason(code="technique.not_alone", text=text, source=SOURCE)
    return Finding(Mode.NOT_TODAY, reason)


def lowest(findings: Iterable[Finding]) -> tuple[Limit, ...]:
    """The greatest degrees of each movement that all findings leave."""
    least: dict[Movement, float] = {}
    for finding in findings:
        for limit in finding.limits:
            least[limit.movement] = min(limit.degrees, least.get(limit.movement, limit.degrees))
    return tuple(Limit(movement=move, degrees=least[move]) for move in sorted(least))


def out_of_reach(target: Target, limits: Iterable[Limit]) -> Iterator[Finding]:
    """A position that needs more range than the limits leave cannot be taken."""
    left = {limit.movement: limit.degrees for limit in limits}
    for need in target.spec.needs:
        if left.get(need.movement, need.degrees) < need.degrees:
            movement = need.movement.value.replace("_", " ")
            text = (
                f"Its position needs {need.degrees:g} degrees of {movement}; only "
                f"{left[need.movement]:g} are allowed today."
            )
            yield Finding(Mode.NOT_TODAY, clinical("range.position", text, SOURCE))
