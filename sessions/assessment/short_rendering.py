"""Permissions in short as one role may read them: each reason once, what is not is left out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from clients.health.domain.content import RangeLimit
from clients.permissions.domain.results import SessionPermissions
from practice.core.reasons import Reason, readable_by
from practice.core.terms import Mode, Role, Side
from practice.http.roles import CLINICAL
from sessions.assessment.domain.assessment import session_reasons
from sessions.assessment.domain.day_answers import DayAnswers
from sessions.assessment.domain.headline import headline_of_extent
from sessions.assessment.domain.short_form import (
    AlikeLimbs,
    Outcome,
    ShortPermissions,
    short_permissions,
)
from sessions.assessment.domain.short_modes import SideModes
from sessions.assessment.short_serializers import ShortPermissionsOutputSerializer
from sessions.calendar.domain.stretch_groups import ReasonPool


class ReasonNumbers:
    """The reasons of one answer as one role may read them: each once, named by its number."""

    def __init__(self, role: Role) -> None:
        self._role = role
        self._pool = ReasonPool()

    def of(self, reasons: Iterable[Reason]) -> list[int]:
        """The numbers of some reasons, from 1; new ones are added."""
        return [place + 1 for place in self._pool.places(readable_by(self._role, reasons))]

    def texts(self) -> dict[str, dict[str, str]]:
        """Every reason named so far, by its number."""
        return {
            str(number): {"code": one.code, "text": one.text}
            for number, one in enumerate(self._pool.reasons, 1)
        }


def serialize_short_permissions(
    role: Role, evaluated: SessionPermissions, said: DayAnswers, names: Mapping[str, str]
) -> Any:
    """The permissions of a client in short, as one role may read them. ``names``: by code."""
    clinical, numbers, short = role in CLINICAL, ReasonNumbers(role), short_permissions(evaluated)
    found = {
        **short_session(role, evaluated, short, numbers),
        "loading_cleared": evaluated.loading if clinical else None,
        "clearance_reasons": numbers.of(evaluated.load_clearance_reasons) if clinical else [],
        "programme": [
            {
                "stretches": named(group.stretches, names),
                "outcomes": [serialize_outcome(one, numbers) for one in group.outcomes],
            }
            for group in short.programme
            if clinical
        ],
        "other_stretches": [
            {
                "stretches": named(group.stretches, names),
                "by_side": [serialize_modes(one, numbers) for one in group.by_side],
            }
            for group in short.other_stretches
            if clinical
        ],
        "other_reasons": numbers.of(short.other_reasons) if clinical else [],
        "arrival_of": said.session_id,
    }
    return ShortPermissionsOutputSerializer({**found, "reason_texts": numbers.texts()}).data


def short_session(
    role: Role, evaluated: SessionPermissions, short: ShortPermissions, numbers: ReasonNumbers
) -> dict[str, Any]:
    """What the short forms of permissions and plan have in common, for one role."""
    clinical = role in CLINICAL
    refusals = readable_by(role, evaluated.refusals)
    reasons = short.reasons if clinical else session_reasons(evaluated.reasons)
    return {
        "headline": short.headline if clinical else headline_of_extent(evaluated, refusals),
        "worst": short.worst if clinical else None,
        "mode": evaluated.mode,
        "planned": evaluated.planned,
        "hands_on": evaluated.extent,
        "hands_on_planned": evaluated.planned_extent,
        "provisional": evaluated.provisional,
        "bookable": not evaluated.refusals,
        "reasons": numbers.of(reasons),
        "refusals": numbers.of(evaluated.refusals),
        "warnings": numbers.of(evaluated.warnings),
        "refer_to": list(evaluated.refer_to) if clinical else [],
        "load": [serialize_limbs(one, numbers) for one in short.load if clinical],
    }


def serialize_outcome(outcome: Outcome, numbers: ReasonNumbers) -> dict[str, Any]:
    """One outcome; what it has not is left out."""
    return without_empty(
        {
            "techniques": outcome.techniques,
            "sides": sides_text(outcome.sides),
            "mode": outcome.mode,
            "planned": outcome.planned if outcome.planned is not outcome.mode else None,
            "limits": serialize_limits(outcome.limits),
            "reasons": numbers.of(outcome.reasons),
            "cautions": numbers.of(outcome.cautions),
            "offered_instead": outcome.offered_instead,
        }
    )


def serialize_modes(found: SideModes, numbers: ReasonNumbers) -> dict[str, Any]:
    """Techniques by mode; what there is not is left out."""
    return without_empty(
        {
            "sides": sides_text(found.sides),
            **{mode.value: found.modes.get(mode) for mode in Mode},
            "planned": {mode.value: found.planned[mode] for mode in found.planned},
            "limits": serialize_limits(found.limits),
            "cautions": numbers.of(found.cautions),
        }
    )


def serialize_limbs(found: AlikeLimbs, numbers: ReasonNumbers) -> dict[str, Any]:
    """Limbs that are alike."""
    reasons, cautions = numbers.of(found.reasons), numbers.of(found.cautions)
    return {"limbs": found.limbs, "open": found.open} | without_empty(
        {"reasons": reasons, "cautions": cautions}
    )


def serialize_limits(limits: Iterable[RangeLimit]) -> dict[str, float]:
    """Greatest degrees by movement."""
    return {one.movement.value: one.degrees for one in limits}


def sides_text(sides: Iterable[Side]) -> str:
    """The sides as they are named: `left, right`."""
    return ", ".join(sides)


def named(stretches: Iterable[str], names: Mapping[str, str]) -> dict[str, str]:
    """Names by code; the code itself for one that is in the catalogue no more."""
    return {code: names.get(code, code) for code in stretches}


def without_empty(found: dict[str, Any]) -> dict[str, Any]:
    """Without the fields that hold nothing."""
    return {name: value for name, value in found.items() if value not in (None, [], {}, ())}
