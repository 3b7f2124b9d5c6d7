"""What is to become of the sessions that an absence or a closure meets, and what became. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode, Role
from sessions.series.domain.answers import refusal_member

NOT_MET = "The absence or closure does not meet this session any more: somebody was quicker."


@dataclass(frozen=True, kw_only=True)
class MoveOutcome:
    """What became of one session: moved to ``starts_at`` with a practitioner, or refused; ``mode``
    is the most that it may be now."""

    session_id: UUID
    client_id: UUID
    starts_at: datetime
    zone: str
    practitioner_id: UUID
    mode: Mode
    warnings: tuple[Reason, ...] = ()
    refusal: Rejected | None = None


def check_outcomes(found: Sequence[MoveOutcome], role: Role, *, all_or_nothing: bool) -> None:
    """Raises Rejected 409 where nothing was moved, or not all that had to; each session says
    why, as the role may read it."""
    refused = [one for one in found if one.refusal is not None]
    if not refused or (len(refused) < len(found) and not all_or_nothing):
        return
    if all_or_nothing:
        code = "moves_refused"
        detail = f"{len(refused)} of {len(found)} cannot be moved, so none is."
    else:
        code, detail = "none_moved", f"None of the {len(found)} can be moved."
    raise Rejected(
        code,
        f"{detail} Each says why.",
        reasons=tuple(
            dict.fromkeys(
                reason for one in refused if one.refusal for reason in one.refusal.reasons
            )
        ),
        extra={"outcomes": [_member(one, role) for one in found]},
    )


def _member(one: MoveOutcome, role: Role) -> dict[str, Any]:
    return {
        "session_id": str(one.session_id),
        "starts_at": one.starts_at.astimezone(ZoneInfo(one.zone)).isoformat(),
        "refusal": refusal_member(one.refusal, role),
    }
