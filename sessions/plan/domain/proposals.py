"""Stretches of the catalogue that what was found asks for and that are permitted. Pure.

The practitioner picks; nothing is prescribed by itself.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import msgspec

from clients.permissions.domain.results import SessionPermissions, StretchPermission
from practice.core.reasons import Audience, Reason
from practice.core.terms import Mode, Movement, Side
from sessions.catalogue.domain.content import StretchContent
from sessions.measurements.domain.deficits import Shortfall
from sessions.measurements.domain.events import PostureRecorded, PostureSeverity
from sessions.measurements.domain.ranges import movement_words

MARKED = frozenset({PostureSeverity.MODERATE, PostureSeverity.SEVERE})


class Proposal(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch on one side, with what asks for it and how it may be done."""

    stretch: str
    name: str
    side: Side
    permissions: tuple[StretchPermission, ...]
    reasons: tuple[Reason, ...]


def is_permitted(one: StretchPermission, permissions: SessionPermissions) -> bool:
    """Whether it may be done today; before the arrival questions, if they bring nothing new."""
    mode = one.planned if permissions.provisional else one.mode
    return mode is not Mode.NOT_TODAY


def permitted_codes(permissions: SessionPermissions) -> frozenset[str]:
    """Stretches of which something may be done today."""
    rows = permissions.stretch_permissions
    return frozenset(one.stretch for one in rows if is_permitted(one, permissions))


def stands_instead(
    code: str, catalogue: Mapping[str, StretchContent], permitted: Collection[str]
) -> list[str]:
    """What the catalogue names to fall back to, as far as it is permitted, one after the other."""
    found: list[str] = []
    seen, waiting = {code}, [code]
    while waiting:
        content = catalogue.get(waiting.pop(0))
        for other in content.instead if content else ():
            if other in seen:
                continue
            seen.add(other)
            if other in permitted:
                found.append(other)
            else:
                waiting.append(other)
    return found


def propose(
    catalogue: Mapping[str, StretchContent],
    permissions: SessionPermissions,
    findings: Sequence[PostureRecorded],
    shortfalls: Sequence[Shortfall],
    on_programme: Collection[tuple[str, Side]],
) -> list[Proposal]:
    """What marked posture findings and ranges short of their goals ask for, in the catalogue's
    order, where it is permitted and not on the programme."""
    rows: dict[tuple[str, Side], list[StretchPermission]] = {}
    for one in permissions.stretch_permissions:
        if is_permitted(one, permissions) and one.stretch in catalogue:
            rows.setdefault((one.stretch, one.side), []).append(one)
    proposals: list[Proposal] = []
    for (code, side), permitted in rows.items():
        content = catalogue[code]
        reasons = _asked_by(content, side, findings, shortfalls)
        known = {(code, side), (code, Side.BOTH)} & set(on_programme)
        if reasons and not known:
            proposals.append(
                Proposal(
                    stretch=code,
                    name=content.name,
                    side=side,
                    permissions=tuple(permitted),
                    reasons=tuple(reasons),
                )
            )
    return proposals


def _asked_by(
    content: StretchContent,
    side: Side,
    findings: Sequence[PostureRecorded],
    shortfalls: Sequence[Shortfall],
) -> list[Reason]:
    reasons = [
        _reason(
            "proposed.posture",
            f"{found.finding.value.replace('_', ' ')}, {found.severity.value}: it serves that.",
        )
        for found in findings
        if found.finding in content.findings
        and found.severity in MARKED
        and _same_side(found.side, side)
    ]
    reasons += [
        _reason("proposed.range", _range_text(one.movement, one.degrees, one.goal))
        for one in shortfalls
        if one.movement in content.movements and _same_side(one.side, side)
    ]
    return reasons


def _range_text(movement: Movement, degrees: int, goal: int) -> str:
    return f"{movement_words(movement)} is {degrees}°, its goal {goal}°: it serves that."


def _same_side(one: Side, other: Side) -> bool:
    return Side.BOTH in (one, other) or one is other


def _reason(code: str, text: str) -> Reason:
    source = "what the catalogue says a stretch serves; practice policy"
    return Reason(code=code, text=text, source=source, audience=Audience.CLINICAL)
