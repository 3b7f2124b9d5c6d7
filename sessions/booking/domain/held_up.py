"""What of a booked session is closed for want of a paper, as it was judged. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec

from clients.health.domain.sites import overlapping_sites
from clients.papers.domain.events import AskedFor, PaperContent
from clients.papers.domain.holding import waits_for
from clients.permissions.domain.findings import StretchTarget
from clients.permissions.domain.stretch import StretchSpec
from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.calendar.domain.stretch_groups import StretchKey, StretchSet


class ClosedStretches(msgspec.Struct, frozen=True, kw_only=True):
    """Stretches of a session that are not by hand and why, as its row keeps them."""

    was: Mode
    mode: Mode
    reasons: tuple[Reason, ...]
    of: tuple[StretchSet, ...]


def closed_in_row(closed: Sequence[Any], narrowed: Sequence[Any]) -> list[ClosedStretches]:
    """What was closed when the session was planned, and what has been since."""
    return msgspec.convert([*closed, *narrowed], list[ClosedStretches])


def closed_for_want_of(
    content: PaperContent, closed: Iterable[ClosedStretches], specs: Mapping[str, StretchSpec]
) -> tuple[list[Reason], list[str]]:
    """The reasons that the paper would answer and the codes of the stretches that they close,
    of those by the techniques and at the regions that it was asked for."""
    reasons: dict[Reason, None] = {}
    stretches: dict[str, None] = {}
    for group in closed:
        answered = [one for one in group.reasons if waits_for(content, one)]
        concerned = [key for some in group.of for key in some.each()] if answered else []
        there = [key for key in concerned if _is_asked_for(content.asked_for, key, specs)]
        if there:
            reasons |= dict.fromkeys(answered)
            stretches |= dict.fromkeys(key[0] for key in there)
    return list(reasons), list(stretches)


def _is_asked_for(asked: AskedFor, key: StretchKey, specs: Mapping[str, StretchSpec]) -> bool:
    stretch, technique, side = key
    if asked.techniques and technique not in asked.techniques:
        return False
    spec = specs.get(stretch)
    # What the catalogue has no more cannot be told to lie elsewhere.
    if not asked.sites or spec is None:
        return True
    return bool(overlapping_sites(asked.sites, StretchTarget(spec, technique, side).worked))
