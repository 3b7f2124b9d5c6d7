"""The order of a session for someone at risk of swelling: preparation, neck, arms. Pure.

Tilts, curls or breathing first make room in the trunk; neck work is lymph work; arms come last.
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from enum import IntEnum

from clients.clinical.domain.limbs import ARM_REGIONS
from clients.permissions.domain.stretch import StretchSpec, StretchTag
from practice.core.reasons import Audience, Reason

NO_SOURCE = "common practice, no source"


class OrderRank(IntEnum):
    """When in the session a stretch has its turn."""

    PREPARATION = 0
    NECK = 1
    ARMS = 2
    ANY = 3


def order_rank(spec: StretchSpec | None) -> OrderRank:
    """The turn of a stretch; one that bears on neither trunk, neck nor arms comes at any time."""
    if spec is None:
        return OrderRank.ANY
    if StretchTag.PREPARATION in spec.tags:
        return OrderRank.PREPARATION
    if StretchTag.NECK in spec.tags:
        return OrderRank.NECK
    return OrderRank.ARMS if spec.region in ARM_REGIONS else OrderRank.ANY


def order_warnings(
    codes: Sequence[str],
    specs: Mapping[str, StretchSpec],
    permitted: Collection[str] | None = None,
) -> list[Reason]:
    """What is out of order among stretches in the order in which they are done.

    Empty for a session without neck or arm work. Where ``permitted`` is known, only preparation
    that is permitted is asked for.
    """
    turns = [turn for code in codes if (turn := order_rank(specs.get(code))) is not OrderRank.ANY]
    worked = [turn for turn in turns if turn is not OrderRank.PREPARATION]
    found: list[Reason] = []
    preparation = [
        code
        for code, spec in specs.items()
        if order_rank(spec) is OrderRank.PREPARATION and (permitted is None or code in permitted)
    ]
    if worked and preparation and turns[0] is not OrderRank.PREPARATION:
        named = " or ".join(code.replace("_", " ") for code in preparation)
        found.append(
            _reason(
                "order.preparation",
                f"At risk of swelling: {named} before neck and arms; without that preparation "
                "fluid may pool in the trunk.",
            )
        )
    if worked != sorted(worked):
        found.append(
            _reason(
                "order.neck_before_arms",
                "At risk of swelling: the neck comes before the arms.",
            )
        )
    return found


def _reason(code: str, text: str) -> Reason:
    return Reason(code=code, text=text, source=NO_SOURCE, audience=Audience.CLINICAL)
