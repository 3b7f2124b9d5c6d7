"""The verdicts of a session stretch by stretch: one entry per distinct outcome. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import TypeVar

import msgspec

from clients.health.domain.content import RangeLimit
from clients.permissions.domain.results import StretchPermission
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique

StretchKey = tuple[str, Technique, Side]
K = TypeVar("K")


class StretchSet(msgspec.Struct, frozen=True, kw_only=True):
    """Stretches, each by all of these techniques and on all of these sides."""

    techniques: tuple[Technique, ...]
    sides: tuple[Side, ...]
    stretches: tuple[str, ...]

    def each(self) -> Iterator[StretchKey]:
        """Every stretch, technique and side of it."""
        for stretch in self.stretches:
            for technique in self.techniques:
                for side in self.sides:
                    yield stretch, technique, side


class StretchGroup(msgspec.Struct, frozen=True, kw_only=True):
    """Everything that came out alike. ``reasons`` and ``cautions`` are places in the list of
    reasons kept beside it; ``mode`` held then, ``planned`` if the day brings nothing new."""

    mode: Mode
    planned: Mode
    of: tuple[StretchSet, ...]
    reasons: tuple[int, ...] = ()
    cautions: tuple[int, ...] = ()
    limits: tuple[RangeLimit, ...] = ()
    offered_instead: Technique | None = None


class NarrowedGroup(msgspec.Struct, frozen=True, kw_only=True):
    """Stretches that narrowed alike and for the same reasons (places in a list beside it)."""

    was: Mode
    now: Mode
    of: tuple[StretchSet, ...]
    reasons: tuple[int, ...] = ()


class PlannedGroup(msgspec.Struct, frozen=True, kw_only=True):
    """Stretches that were planned alike."""

    mode: Mode
    of: tuple[StretchSet, ...]


class PlannedAtFirst(msgspec.Struct, frozen=True, kw_only=True):
    """What a session was planned as before anything narrowed it: the widest of it, and each."""

    mode: Mode
    stretches: tuple[PlannedGroup, ...] = ()


def stretch_sets(keys: Iterable[StretchKey]) -> tuple[StretchSet, ...]:
    """Stretches, techniques and sides in as few sets as say them exactly."""
    techniques = _gathered(((stretch, side), technique) for stretch, technique, side in keys)
    sides = _gathered(((stretch, by), side) for (stretch, side), by in techniques.items())
    stretches = _gathered(((by, on), stretch) for (stretch, by), on in sides.items())
    return tuple(
        StretchSet(techniques=by, sides=on, stretches=of)
        for (by, on), of in sorted(stretches.items())
    )


V = TypeVar("V")


def _gathered(pairs: Iterable[tuple[K, V]]) -> dict[K, tuple[V, ...]]:
    found: defaultdict[K, set[V]] = defaultdict(set)
    for key, value in pairs:
        found[key].add(value)
    return {key: tuple(sorted(values)) for key, values in found.items()}  # type: ignore[type-var]


def key_of(permission: StretchPermission) -> StretchKey:
    """What a verdict speaks of."""
    return permission.stretch, permission.technique, permission.side


def grouped(
    permissions: Sequence[StretchPermission],
) -> tuple[tuple[StretchGroup, ...], tuple[Reason, ...]]:
    """The verdicts by distinct outcome, and the reasons to which their numbers point."""
    pool = ReasonPool()
    alike: defaultdict[tuple[object, ...], list[StretchPermission]] = defaultdict(list)
    for one in permissions:
        outcome = (
            one.mode,
            one.planned,
            pool.places(one.reasons),
            pool.places(one.cautions),
            one.limits,
            one.offered_instead,
        )
        alike[outcome].append(one)
    groups = tuple(
        StretchGroup(
            mode=found[0].mode,
            planned=found[0].planned,
            of=stretch_sets(key_of(one) for one in found),
            reasons=pool.places(found[0].reasons),
            cautions=pool.places(found[0].cautions),
            limits=found[0].limits,
            offered_instead=found[0].offered_instead,
        )
        for found in alike.values()
    )
    return groups, pool.reasons


class ReasonPool:
    """Each reason once, and the place of each."""

    def __init__(self) -> None:
        self._places: dict[Reason, int] = {}

    def places(self, reasons: Iterable[Reason]) -> tuple[int, ...]:
        """The places of some reasons; new ones are added."""
        return tuple(self._places.setdefault(one, len(self._places)) for one in reasons)

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """All of them, in order of their places."""
        return tuple(self._places)


def ungrouped(groups: Iterable[StretchGroup], reasons: Sequence[Reason]) -> list[StretchPermission]:
    """The verdicts that were kept as groups."""
    return [
        StretchPermission(
            stretch=stretch,
            technique=technique,
            side=side,
            mode=group.mode,
            planned=group.planned,
            limits=group.limits,
            reasons=tuple(reasons[place] for place in group.reasons),
            cautions=tuple(reasons[place] for place in group.cautions),
            offered_instead=group.offered_instead,
        )
        for group in groups
        for some in group.of
        for stretch, technique, side in some.each()
    ]
