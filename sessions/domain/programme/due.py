"""Re-checks as due work: planned with the discharge, withdrawn when they fall away. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from practice.domain.decisions import Due, DuePlan
from practice.domain.events import Recorded
from sessions.domain.programme.events import (
    Channel,
    PlannedRecheck,
    RecheckCalled,
    RecheckCarried,
    RecheckHeld,
    RecheckLost,
    RecheckSkipped,
    StretchDischarged,
    StretchEnded,
    StretchResumed,
)

KIND = "recheck"
MAIL = "recheck_mail"


def key_of(recheck_id: UUID, occasion: str = "call") -> str:
    """The key that makes an occasion single."""
    return f"{KIND}:{recheck_id}:{occasion}"


def recheck_of(key: str) -> UUID:
    """The re-check that a key speaks of."""
    return UUID(key.split(":")[1])


def _planned(stream: UUID, planned: PlannedRecheck | None) -> list[Due]:
    if planned is None:
        return []
    return [Due(KIND, key_of(planned.recheck_id), stream, at=planned.call_at)]


def _withdrawn(stream: UUID, recheck_id: UUID) -> Due:
    return Due(KIND, key_of(recheck_id), stream, cancels=True)


def plan(rec: Recorded) -> Sequence[Due]:
    """What an event plans or withdraws."""
    stream = rec.stream
    match rec.data:
        case StretchDischarged() as event:
            return [due for one in event.planned for due in _planned(stream, one)]
        case RecheckCalled(channel=Channel.MAIL) as event:
            # At once: the call itself came within the hours in which clients may be written to.
            return [Due(MAIL, f"{MAIL}:{event.recheck_id}", stream, at=rec.recorded_at)]
        case RecheckCarried() as event:
            occasion = f"after:{event.session_id}:{int(event.again_at.timestamp())}"
            return [Due(KIND, key_of(event.recheck_id, occasion), stream, at=event.again_at)]
        case RecheckHeld() | RecheckSkipped() as event:
            return [_withdrawn(stream, event.recheck_id), *_planned(stream, event.planned_next)]
        case RecheckLost() as event:
            return [_withdrawn(stream, event.recheck_id)]
        case StretchResumed() | StretchEnded() as event:
            return [_withdrawn(stream, one) for one in event.cancelled]
    return []


RECHECKS_DUE = DuePlan(
    name="rechecks",
    on=(
        StretchDischarged,
        RecheckCalled,
        RecheckCarried,
        RecheckHeld,
        RecheckLost,
        RecheckSkipped,
        StretchResumed,
        StretchEnded,
    ),
    plan=plan,
)
