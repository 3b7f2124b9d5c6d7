"""What of a session is narrower than it was planned, by stretch, technique and side. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from clients.permissions.domain.inputs import PLACE_CODES
from clients.permissions.domain.results import (
    MODE_WIDTH,
    HandsOnExtent,
    SessionPermissions,
    StretchPermission,
    by_hand,
    extent_of,
    narrower,
)
from practice.core.reasons import Reason
from practice.core.terms import Mode, Technique
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.stretch_groups import (
    NarrowedGroup,
    ReasonPool,
    StretchKey,
    key_of,
    stretch_sets,
    ungrouped,
)
from sessions.calendar.domain.terms import PermissionsSnapshot

OF_TECHNIQUE = "technique."
"""Codes of reasons such as "nobody is touched in it", which are no news of this client."""
NOT_ANSWERED = frozenset(
    {"arrival.not_answered", "arrival.hands_on_unanswered", "arrival.incomplete"}
)
"""Codes of the day's open questions, which narrow nothing yet."""


@dataclass(frozen=True, slots=True)
class Narrowed:
    """One stretch, technique and side that is narrower than planned."""

    was: Mode
    now: Mode
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Narrowing:
    """All that is narrower than planned, and what is left: the widest of it and how much."""

    narrowed: Mapping[StretchKey, Narrowed]
    mode: Mode
    extent: HandsOnExtent


def verdicts_in(snapshot: PermissionsSnapshot) -> dict[StretchKey, StretchPermission]:
    """The verdicts that a snapshot keeps."""
    kept = ungrouped(snapshot.stretches, snapshot.stretch_reasons)
    return {key_of(one): one for one in kept}


def speaks_of(
    kept: Mapping[StretchKey, StretchPermission], *snapshots: PermissionsSnapshot
) -> set[StretchKey]:
    """What a session is about: the programmes of these snapshots; where there are none, every
    stretch by hand."""
    programme = {
        key for one in snapshots for some in one.programme for key in some.each() if key in kept
    }
    return programme or {key for key, one in kept.items() if by_hand(one)} or set(kept)


def as_planned(mode: Mode, technique: Technique, planned_mode: Mode) -> Mode:
    """A verdict within a session planned narrower: nobody does an assisted technique alone."""
    if planned_mode is Mode.SELF_DIRECTED and technique is not Technique.ACTIVE_ISOLATED:
        return Mode.NOT_TODAY
    return narrower(mode, planned_mode)


def narrowing_since(
    plan: PermissionsSnapshot,
    planned_mode: Mode,
    now: PermissionsSnapshot,
    before: Mapping[StretchKey, Narrowed],
    standing: Mode,
) -> Narrowing | None:
    """What ``now`` leaves of ``plan``; None where nothing is narrower than it was ``before``,
    nor as narrow for a reason of another kind: what is told is what closes it now.

    The day's open questions do not count, and nothing that narrowed before widens by itself.
    ``standing`` is the widest that stood before: it decides only where the catalogue is empty.
    """
    planned, current = verdicts_in(plan), verdicts_in(now)
    if not planned or not current:
        narrowed = is_wider(standing, now.mode)
        return Narrowing({}, now.mode, now.planned_extent) if narrowed else None
    keys = speaks_of(planned, plan, now)
    base = {
        key: as_planned(one.planned, key[1], planned_mode)
        for key, one in planned.items()
        if key in keys
    }
    found = dict(before)
    for key in sorted(keys & current.keys()):
        one, was = current[key], base[key]
        stood = found[key].now if key in found else was
        again = key in found and one.planned is stood and _says_more(one, found[key])
        if is_wider(stood, one.planned) or again:
            found[key] = Narrowed(was, one.planned, told_reasons(one.reasons))
    if found == dict(before):
        found |= _barred_since(planned, current, base, found)
    if found == dict(before):
        return None
    left = [narrower(base[key], found[key].now) if key in found else base[key] for key in base]
    return Narrowing(found, max(left, key=MODE_WIDTH.__getitem__), extent_of(left))


def _barred_since(
    planned: Mapping[StretchKey, StretchPermission],
    current: Mapping[StretchKey, StretchPermission],
    base: Mapping[StretchKey, Mode],
    found: Mapping[StretchKey, Narrowed],
) -> dict[StretchKey, Narrowed]:
    """What was planned as nothing at all, where no session can be held any more: that is told
    too, for the client would come in vain."""
    barred = {}
    told = {one.code for some in found.values() for one in some.reasons}
    for key in sorted((base.keys() & current.keys()) - found.keys()):
        known = told | {one.code for one in planned[key].reasons}
        if any(one.code in PLACE_CODES - known for one in current[key].reasons):
            barred[key] = Narrowed(
                base[key], current[key].planned, told_reasons(current[key].reasons)
            )
    return barred


def _says_more(now: StretchPermission, before: Narrowed) -> bool:
    """Whether a verdict has a kind of reason that was not told of it; the words of one kind
    (weeks that pass) make no news."""
    known = {one.code for one in before.reasons} | NOT_ANSWERED
    return any(one.code not in known for one in told_reasons(now.reasons))


def carried_over(
    plan: PermissionsSnapshot, planned_mode: Mode, before: Mapping[StretchKey, Narrowed]
) -> Narrowing | None:
    """What narrowed ``before`` and would widen by a new plan that nobody asked to be wider."""
    planned = verdicts_in(plan)
    base = {
        key: as_planned(planned[key].planned, key[1], planned_mode)
        for key in sorted(speaks_of(planned, plan) | (before.keys() & planned.keys()))
    }
    kept = {key: one for key, one in before.items() if key in base and is_wider(base[key], one.now)}
    if not kept:
        return None
    left = [kept[key].now if key in kept else mode for key, mode in base.items()]
    return Narrowing(kept, max(left, key=MODE_WIDTH.__getitem__), extent_of(left))


def narrowed_groups(
    narrowed: Mapping[StretchKey, Narrowed], first: Sequence[Reason] = ()
) -> tuple[tuple[NarrowedGroup, ...], tuple[Reason, ...]]:
    """What narrowed by distinct outcome, and the reasons (``first`` those that are given)."""
    pool = ReasonPool()
    pool.places(first)
    alike: defaultdict[tuple[Mode, Mode, tuple[int, ...]], list[StretchKey]] = defaultdict(list)
    for key, one in narrowed.items():
        alike[one.was, one.now, pool.places(one.reasons)].append(key)
    groups = tuple(
        NarrowedGroup(was=was, now=now, reasons=places, of=stretch_sets(keys))
        for (was, now, places), keys in alike.items()
    )
    return groups, pool.reasons


def narrowed_in(
    groups: Iterable[NarrowedGroup], reasons: Sequence[Reason]
) -> dict[StretchKey, Narrowed]:
    """What was kept as groups."""
    return {
        key: Narrowed(group.was, group.now, tuple(reasons[place] for place in group.reasons))
        for group in groups
        for some in group.of
        for key in some.each()
    }


def closed_in(snapshot: PermissionsSnapshot) -> dict[StretchKey, Narrowed]:
    """What of the session may not be done by hand by a snapshot, and why."""
    kept = verdicts_in(snapshot)
    return {
        key: Narrowed(Mode.HANDS_ON, kept[key].mode, told_reasons(kept[key].reasons))
        for key in sorted(speaks_of(kept, snapshot))
        if kept[key].mode is not Mode.HANDS_ON
    }


def closed_of(evaluated: SessionPermissions) -> dict[StretchKey, Narrowed]:
    """The same of a judgement that is not kept."""
    return {
        key_of(one): Narrowed(Mode.HANDS_ON, one.mode, told_reasons(one.reasons))
        for one in evaluated.closed()
    }


def told_reasons(reasons: tuple[Reason, ...]) -> tuple[Reason, ...]:
    """Those that are news of the client, where there are any."""
    return tuple(one for one in reasons if not one.code.startswith(OF_TECHNIQUE)) or reasons
