"""What became of each place when a class was moved or called off. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from practice.core.reasons import Reason, Rejected
from practice.core.terms import Role
from sessions.series.domain.answers import refusal_member


class PlaceResult(StrEnum):
    """What became of one place."""

    MOVED = "moved"
    CANCELLED = "cancelled"
    REFUSED = "refused"


@dataclass(frozen=True, kw_only=True)
class PlaceOutcome:
    """One client's place. ``refusal``: why it could not come along."""

    result: PlaceResult
    session_id: UUID
    client_id: UUID
    warnings: tuple[Reason, ...] = ()
    refusal: Rejected | None = None


def require_all_moved(found: Sequence[PlaceOutcome], role: Role) -> None:
    """Raises Rejected 409 where somebody cannot come along, each with the reasons that the role
    may read."""
    left = [one for one in found if one.result is PlaceResult.REFUSED]
    if not left:
        return
    raise Rejected(
        "not_all_can_move",
        f"{len(left)} of {len(found)} cannot come along, so nothing is moved. With"
        " cancel_who_cannot their places are called off by the practice.",
        reasons=tuple(
            dict.fromkeys(reason for one in left if one.refusal for reason in one.refusal.reasons)
        ),
        extra={
            "places": [
                {
                    "session_id": str(one.session_id),
                    "client_id": str(one.client_id),
                    "refusal": refusal_member(one.refusal, role),
                }
                for one in left
            ]
        },
    )
