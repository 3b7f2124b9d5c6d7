"""A re-check comes due: the call list, the carrying session, skipping. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from practice.domain.decisions import Context, Decided
from practice.domain.localtime import local_day
from practice.domain.reasons import Rejected, invalid, not_found
from sessions.domain.programme.answering import AnswerFacts, next_planned
from sessions.domain.programme.events import (
    Channel,
    RecheckCalled,
    RecheckCarried,
    RecheckSkipped,
)
from sessions.domain.programme.settings import RecheckSettings
from sessions.domain.programme.state import (
    Prescription,
    ProgrammeState,
    Recheck,
    RecheckStatus,
    Standing,
)

AFTER_SESSION = timedelta(hours=12)


@dataclass(frozen=True)
class UpcomingSession:
    """A session of the client that is booked or arrived: begin and end, aware."""

    session_id: UUID
    starts_at: datetime
    ends_at: datetime


def carrying_session(
    recheck: Recheck,
    zone: str,
    upcoming: Sequence[UpcomingSession],
    policy: RecheckSettings,
    now: datetime,
) -> UpcomingSession | None:
    """The first session to come that is near enough to the due day to carry the re-check."""
    due = recheck.planned.due_on
    first = due - timedelta(days=policy.early_days)
    last = due + timedelta(days=policy.near_days)
    near = [
        s for s in upcoming if s.ends_at > now and first <= local_day(s.starts_at, zone) <= last
    ]
    return min(near, key=lambda s: (s.starts_at, s.session_id), default=None)


def _carry(recheck: Recheck, carrier: UpcomingSession) -> Decided:
    """Nobody is called yet; looked at again after the session, also when that one was moved."""
    again_at = carrier.ends_at + AFTER_SESSION
    if (recheck.carried_by, recheck.again_at) == (carrier.session_id, again_at):
        return []
    return [
        RecheckCarried(
            recheck_id=recheck.planned.recheck_id,
            prescription_id=recheck.prescription_id,
            session_id=carrier.session_id,
            again_at=again_at,
        )
    ]


def decide_call(
    state: ProgrammeState,
    recheck_id: UUID,
    upcoming: Sequence[UpcomingSession],
    policy: RecheckSettings,
    channel: Channel,
    ctx: Context,
) -> Decided:
    """Decides again whether a re-check is still wanted.

    Nothing where it is done, skipped, called already, or its stretch is no longer
    discharged. A session near the date carries it; else it goes on the call list.
    """
    recheck = state.rechecks.get(recheck_id)
    if recheck is None or recheck.status is not RecheckStatus.PLANNED:
        return []
    one = state.prescriptions.get(recheck.prescription_id)
    if one is None or one.standing is not Standing.DISCHARGED or one.discharge is None:
        return []
    carrier = carrying_session(recheck, one.discharge.zone, upcoming, policy, ctx.now)
    if carrier is not None:
        return _carry(recheck, carrier)
    return [
        RecheckCalled(
            recheck_id=recheck_id,
            prescription_id=recheck.prescription_id,
            channel=channel,
            due_on=recheck.planned.due_on,
        )
    ]


def open_recheck(state: ProgrammeState, recheck_id: UUID) -> tuple[Recheck, Prescription]:
    """A re-check that waits for a reading; 404 or 409."""
    recheck = state.rechecks.get(recheck_id)
    if recheck is None:
        raise not_found("re-check")
    if not recheck.is_open:
        raise Rejected(
            "recheck_not_open",
            f"This re-check is {recheck.status.value}; nothing is left to skip.",
            extra={"status": recheck.status.value},
        )
    return recheck, state.prescriptions[recheck.prescription_id]


def decide_skip(
    state: ProgrammeState, recheck_id: UUID, reason: str, facts: AnswerFacts, ctx: Context
) -> Decided:
    """A re-check that will not be done, with the reason. A repeat changes nothing."""
    known = state.rechecks.get(recheck_id)
    if known is not None and known.status is RecheckStatus.SKIPPED:
        return []
    recheck, one = open_recheck(state, recheck_id)
    if not reason.strip():
        raise invalid("reason", "Say why it is skipped.")
    planned = None
    if one.discharge is not None:
        today = local_day(ctx.now, one.discharge.zone)
        planned = next_planned(
            state,
            recheck.prescription_id,
            one.discharge,
            {recheck_id},
            max(today, recheck.planned.due_on),
            facts.plan_for(one.discharge),
        )
    return [
        RecheckSkipped(
            recheck_id=recheck_id,
            prescription_id=recheck.prescription_id,
            reason=reason,
            planned_next=planned,
        )
    ]
