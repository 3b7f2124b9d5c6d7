"""Stretches by what may be done of them, side by side, without why. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import msgspec

from clients.health.domain.content import RangeLimit
from clients.permissions.domain.results import StretchPermission
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique
from sessions.assessment.domain.headline import may_be_done

TechniquesByMode = Mapping[Mode, tuple[Technique, ...]]


class SideModes(msgspec.Struct, frozen=True, kw_only=True):
    """The techniques of a stretch by mode, alike on these sides.

    ``planned``: by the mode they have if the day's questions bring nothing new, those for
    which it is another. ``limits`` and ``cautions`` hold for what may be done.
    """

    sides: tuple[Side, ...]
    modes: TechniquesByMode
    planned: TechniquesByMode
    limits: tuple[RangeLimit, ...] = ()
    cautions: tuple[Reason, ...] = ()


class StretchModes(msgspec.Struct, frozen=True, kw_only=True):
    """Stretches that are alike in all of it."""

    stretches: tuple[str, ...]
    by_side: tuple[SideModes, ...]


def alike_modes(permissions: Iterable[StretchPermission]) -> tuple[StretchModes, ...]:
    """Stretches of which the same may be done on the same sides, each once, in the order given."""
    verdicts: dict[str, dict[Side, list[StretchPermission]]] = {}
    for one in permissions:
        verdicts.setdefault(one.stretch, {}).setdefault(one.side, []).append(one)
    alike: list[tuple[tuple[SideModes, ...], list[str]]] = []
    for stretch, on_sides in verdicts.items():
        by_side = _by_side(on_sides)
        for known, stretches in alike:
            if known == by_side:
                stretches.append(stretch)
                break
        else:
            alike.append((by_side, [stretch]))
    return tuple(
        StretchModes(stretches=tuple(stretches), by_side=by_side) for by_side, stretches in alike
    )


def _by_side(on_sides: Mapping[Side, Sequence[StretchPermission]]) -> tuple[SideModes, ...]:
    found: list[SideModes] = []
    for side in sorted(on_sides):
        for block in modes_on(side, on_sides[side]):
            for place, other in enumerate(found):
                if msgspec.structs.replace(other, sides=block.sides) == block:
                    found[place] = msgspec.structs.replace(other, sides=(*other.sides, side))
                    break
            else:
                found.append(block)
    return tuple(found)


def modes_on(side: Side, permissions: Sequence[StretchPermission]) -> list[SideModes]:
    """The verdicts of a stretch on one side: apart only where limits or cautions differ.

    What may not be done at all has neither, and stands with the first.
    """
    apart: defaultdict[tuple[tuple[RangeLimit, ...], tuple[Reason, ...]], list[StretchPermission]]
    apart = defaultdict(list)
    for one in permissions:
        if may_be_done(one):
            apart[one.limits, one.cautions].append(one)
    closed = [one for one in permissions if not may_be_done(one)]
    if closed:
        apart[next(iter(apart), ((), ()))].extend(closed)
    return [
        SideModes(
            sides=(side,),
            modes=_by_mode((one.mode, one.technique) for one in found),
            planned=_by_mode(
                (one.planned, one.technique) for one in found if one.planned is not one.mode
            ),
            limits=limits,
            cautions=cautions,
        )
        for (limits, cautions), found in apart.items()
    ]


def _by_mode(pairs: Iterable[tuple[Mode, Technique]]) -> dict[Mode, tuple[Technique, ...]]:
    found: dict[Mode, list[Technique]] = {}
    for mode, technique in pairs:
        found.setdefault(mode, []).append(technique)
    return {mode: tuple(sorted(found[mode])) for mode in Mode if mode in found}
