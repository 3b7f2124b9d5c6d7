"""What a session was planned as at first, before anything narrowed it, and what a move keeps of
that. Pure.

A flag tells what narrowed and what it was. A plain move plans a narrowed session as narrow as it
stands, and its flag may end by that: what it was at first goes with the move, so that a person
can plan it so again once what narrowed it is put right.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from clients.permissions.domain.results import MODE_WIDTH
from practice.core.terms import Mode
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.narrowing import (
    Narrowed,
    as_planned,
    narrowed_in,
    speaks_of,
    verdicts_in,
)
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.stretch_groups import (
    PlannedAtFirst,
    PlannedGroup,
    StretchKey,
    stretch_sets,
)
from sessions.calendar.domain.terms import PermissionsSnapshot


def narrowed_of(session: SessionState) -> dict[StretchKey, Narrowed]:
    """What the flag of a session says that narrowed; empty without one."""
    flag = session.flag
    return narrowed_in(flag.narrowed, flag.reasons) if flag else {}


def first_mode(session: SessionState) -> Mode:
    """What a session was planned as at first: what its flag says that it was, what a move kept,
    else its plan."""
    modes = [session.planned_mode, *(one.was for one in narrowed_of(session).values())]
    if session.at_first is not None:
        modes.append(session.at_first.mode)
    return max(modes, key=MODE_WIDTH.__getitem__)


def modes_at_first(session: SessionState, now: PermissionsSnapshot) -> dict[StretchKey, Mode]:
    """The same for each stretch, technique and side of which ``now`` has a verdict."""
    planned, current = verdicts_in(session.plan), verdicts_in(now)
    found = {key: one.was for key, one in narrowed_of(session).items() if key in current}
    for key in (speaks_of(planned, session.plan, now) & current.keys()) - found.keys():
        if key in planned:
            found[key] = as_planned(planned[key].planned, key[1], session.planned_mode)
    for key, mode in _kept(session).items():
        if key in current and (key not in found or is_wider(mode, found[key])):
            found[key] = mode
    return found


def kept_by_move(
    session: SessionState, mode: Mode, permissions: PermissionsSnapshot, asked: Mode | None
) -> PlannedAtFirst | None:
    """What a narrowed session was at first, where a move leaves any of it narrower than that;
    None where nothing had narrowed it, nothing is narrower any more, or a person plans it anew
    by what they ask for."""
    if asked is not None or (session.flag is None and session.at_first is None):
        return None
    first, was = first_mode(session), modes_at_first(session, permissions)
    after = verdicts_in(permissions)
    narrower = is_wider(first, mode) or any(
        is_wider(one, as_planned(after[key].planned, key[1], mode)) for key, one in was.items()
    )
    return PlannedAtFirst(mode=first, stretches=_grouped(was)) if narrower else None


def _kept(session: SessionState) -> dict[StretchKey, Mode]:
    if session.at_first is None:
        return {}
    return {
        key: group.mode
        for group in session.at_first.stretches
        for some in group.of
        for key in some.each()
    }


def _grouped(modes: Mapping[StretchKey, Mode]) -> tuple[PlannedGroup, ...]:
    alike: defaultdict[Mode, list[StretchKey]] = defaultdict(list)
    for key, mode in sorted(modes.items()):
        alike[mode].append(key)
    return tuple(
        PlannedGroup(mode=mode, of=stretch_sets(keys)) for mode, keys in sorted(alike.items())
    )
