"""A plan's programme and proposals in short: what is alike stands together. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Generic, TypeVar

import msgspec

from clients.permissions.domain.results import SessionPermissions, on_programme
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique
from sessions.assessment.domain.short_form import Outcome
from sessions.assessment.domain.short_modes import StretchModes, alike_modes
from sessions.plan.domain.proposals import Proposal

R = TypeVar("R")


@dataclass(frozen=True)
class PlannedLine(Generic[R]):
    """A prescription with what came out of its techniques, and codes that stand ``instead``."""

    row: R
    outcomes: tuple[Outcome, ...]
    instead: tuple[str, ...]


class AlikeProposals(msgspec.Struct, frozen=True, kw_only=True):
    """Stretches proposed for the same reasons, by what may be done of them."""

    modes: StretchModes
    reasons: tuple[Reason, ...]


def alike_lines(lines: Iterable[PlannedLine[R]]) -> list[list[PlannedLine[R]]]:
    """Lines that follow each other and came out alike; their order stays."""
    return [list(some) for _, some in groupby(lines, key=lambda one: (one.outcomes, one.instead))]


def not_evaluated(techniques: Collection[Technique], side: Side, mode: Mode) -> Outcome:
    """The outcome of a stretch that is in the catalogue no more: it follows the session."""
    return Outcome(techniques=tuple(techniques), sides=(side,), mode=mode, planned=mode)


def alike_proposals(proposals: Sequence[Proposal]) -> list[AlikeProposals]:
    """Proposals by what asks for them, then by what may be done."""
    by_reasons: dict[tuple[Reason, ...], list[Proposal]] = {}
    for one in proposals:
        by_reasons.setdefault(one.reasons, []).append(one)
    return [
        AlikeProposals(modes=modes, reasons=reasons)
        for reasons, alike in by_reasons.items()
        for modes in alike_modes(permission for one in alike for permission in one.permissions)
    ]


def counts_of_others(permissions: SessionPermissions) -> dict[Mode, int]:
    """How many verdicts of what is not on the programme there are of each mode."""
    found = Counter(
        one.mode
        for one in permissions.stretch_permissions
        if not on_programme(one, permissions.programme)
    )
    return {mode: found[mode] for mode in Mode}
