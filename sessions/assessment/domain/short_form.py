"""The permissions of a session in short: what is alike stands together, under one headline. Pure.

Short and long never disagree: every stretch, technique and side of a judgement stands in one
place, with its modes. What the client is on comes first and with every reason; of the other
stretches the reasons are named for all of them together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence

import msgspec

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import RangeLimit
from clients.health.domain.sites import technique_text
from clients.permissions.domain.results import (
    MODE_WIDTH,
    LoadPermission,
    SessionPermissions,
    StretchPermission,
    on_programme,
)
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side, Technique
from sessions.assessment.domain.assessment import session_reasons
from sessions.assessment.domain.headline import headline, may_be_done
from sessions.assessment.domain.short_modes import StretchModes, alike_modes
from sessions.calendar.domain.stretch_groups import StretchKey, key_of, stretch_sets

ANY_TECHNIQUE = "{technique}"
"""Stands in a reason's text for the technique that it is read with."""


class Outcome(msgspec.Struct, frozen=True, kw_only=True):
    """What came out alike, by which techniques and on which sides, with its own reasons.

    ``mode`` holds now, ``planned`` if the day's questions bring nothing new. ``limits``: only
    where it may be done. Texts of ``reasons`` and ``cautions`` may hold ANY_TECHNIQUE.
    """

    techniques: tuple[Technique, ...]
    sides: tuple[Side, ...]
    mode: Mode
    planned: Mode
    limits: tuple[RangeLimit, ...] = ()
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[Reason, ...] = ()
    offered_instead: Technique | None = None


class StretchOutcomes(msgspec.Struct, frozen=True, kw_only=True):
    """Stretches of which everything came out alike."""

    stretches: tuple[str, ...]
    outcomes: tuple[Outcome, ...]


class AlikeLimbs(msgspec.Struct, frozen=True, kw_only=True):
    """Limbs that may carry load, or may not, for the same reasons."""

    limbs: tuple[LoadedLimb, ...]
    open: bool
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[Reason, ...] = ()


class ShortPermissions(msgspec.Struct, frozen=True, kw_only=True):
    """All verdicts of a session in short.

    ``worst`` is the narrowest that anything on the programme may be now, of the whole
    catalogue while there is none; None where no stretch was asked. ``reasons`` stand against
    all of it, ``other_reasons`` against some of the ``other_stretches``.
    """

    headline: str
    worst: Mode | None
    reasons: tuple[Reason, ...]
    programme: tuple[StretchOutcomes, ...]
    other_stretches: tuple[StretchModes, ...]
    other_reasons: tuple[Reason, ...]
    load: tuple[AlikeLimbs, ...]


def short_permissions(
    evaluated: SessionPermissions, load: Sequence[LoadPermission] | None = None
) -> ShortPermissions:
    """A judgement in short. ``load``: its limbs as something narrowed them further."""
    programme: list[StretchPermission] = []
    others: list[StretchPermission] = []
    for one in evaluated.stretch_permissions:
        (programme if on_programme(one, evaluated.programme) else others).append(one)
    limbs = evaluated.load if load is None else load
    spoken_of = programme or others
    common = common_reasons(evaluated.stretch_permissions)
    return ShortPermissions(
        headline=headline(
            evaluated,
            "the programme" if programme else "the catalogue",
            spoken_of,
            [one.limb.value for one in limbs if not one.open],
        ),
        worst=min((one.mode for one in spoken_of), key=MODE_WIDTH.__getitem__, default=None),
        reasons=_of_all(evaluated, common),
        programme=alike_stretches(programme, common),
        other_stretches=alike_modes(others),
        other_reasons=tuple(
            dict.fromkeys(reason for one in others for reason in own_reasons(one, common))
        ),
        load=alike_limbs(limbs),
    )


def common_reasons(permissions: Sequence[StretchPermission]) -> frozenset[Reason]:
    """The reasons that stand in every verdict."""
    of_each = [frozenset(one.reasons) for one in permissions]
    return frozenset.intersection(*of_each) if of_each else frozenset()


def _of_all(evaluated: SessionPermissions, common: frozenset[Reason]) -> tuple[Reason, ...]:
    """What stands against all of it: in every verdict, or of the session and in none.

    Reasons of the session that sum up those of its verdicts are said where they belong.
    """
    said = {reason.code for one in evaluated.stretch_permissions for reason in one.reasons}
    told = [
        one for one in session_reasons(evaluated.reasons) if one in common or one.code not in said
    ]
    return tuple(dict.fromkeys([*told, *sorted(common, key=lambda one: (one.code, one.text))]))


def own_reasons(one: StretchPermission, common: Collection[Reason]) -> tuple[Reason, ...]:
    """A verdict's reasons but those that stand in every one, to be read with its technique."""
    return for_any_technique((r for r in one.reasons if r not in common), one.technique)


def for_any_technique(reasons: Iterable[Reason], technique: Technique) -> tuple[Reason, ...]:
    """Reasons that read the same of every technique: its name stands open in their texts."""
    return tuple(
        msgspec.structs.replace(
            one, text=one.text.replace(technique_text(technique), ANY_TECHNIQUE)
        )
        for one in reasons
    )


def alike_stretches(
    permissions: Iterable[StretchPermission], common: Collection[Reason]
) -> tuple[StretchOutcomes, ...]:
    """Stretches of which everything came out alike, each once, in the order given."""
    verdicts: defaultdict[str, list[StretchPermission]] = defaultdict(list)
    for one in permissions:
        verdicts[one.stretch].append(one)
    alike: defaultdict[tuple[Outcome, ...], list[str]] = defaultdict(list)
    for stretch, found in verdicts.items():
        alike[outcomes_of(found, common)].append(stretch)
    return tuple(
        StretchOutcomes(stretches=tuple(stretches), outcomes=outcomes)
        for outcomes, stretches in alike.items()
    )


def outcomes_of(
    permissions: Iterable[StretchPermission], common: Collection[Reason]
) -> tuple[Outcome, ...]:
    """The verdicts of one stretch by distinct outcome."""
    alike: defaultdict[Outcome, list[StretchKey]] = defaultdict(list)
    for one in permissions:
        outcome = Outcome(
            techniques=(),
            sides=(),
            mode=one.mode,
            planned=one.planned,
            limits=one.limits if may_be_done(one) else (),
            reasons=own_reasons(one, common),
            cautions=for_any_technique(one.cautions, one.technique),
            offered_instead=one.offered_instead,
        )
        alike[outcome].append(key_of(one))
    found = [
        msgspec.structs.replace(outcome, techniques=some.techniques, sides=some.sides)
        for outcome, keys in alike.items()
        for some in stretch_sets(keys)
    ]
    return tuple(sorted(found, key=lambda one: (one.techniques, one.sides)))


def alike_limbs(load: Iterable[LoadPermission]) -> tuple[AlikeLimbs, ...]:
    """Limbs that came out alike, in the order given."""
    alike: defaultdict[AlikeLimbs, list[LoadedLimb]] = defaultdict(list)
    for one in load:
        outcome = AlikeLimbs(limbs=(), open=one.open, reasons=one.reasons, cautions=one.cautions)
        alike[outcome].append(one.limb)
    return tuple(
        msgspec.structs.replace(outcome, limbs=tuple(limbs)) for outcome, limbs in alike.items()
    )
