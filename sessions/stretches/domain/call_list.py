"""A re-check comes due: the call list, the carrying session, skipping. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from clients.health.domain.wording import words_text
from practice.core.decisions import Context, Decided
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid, not_found
from sessions.stretches.domain.events import (
    RecheckCoveredBySession,
    RecheckPutOnCallList,
    RecheckSkipped,
    ReminderChannel,
)
from sessions.stretches.domain.prescription_state import (
    PrescriptionState,
    RecheckState,
    RecheckStatus,
    StretchStatus,
)
from sessions.stretches.domain.recheck_answers import RecheckAnswerFacts, next_planned
from sessions.stretches.domain.settings import RecheckSettings
from sessions.stretches.domain.state import StretchesState

AFTER_SESSION = timedelta(hours=12)


@dataclass(frozen=True)
class UpcomingSession:
    """A session of the client that is booked or arrived: begin and end, aware."""

    session_id: UUID
    starts_at: datetime
    ends_at: datetime


def covering_session(
    due: date,
    zone: str,
    upcoming: Sequence[UpcomingSession],
    policy: RecheckSettings,
    now: datetime,
) -> UpcomingSession | None:
    """The first session to come that is near enough to the due day to carry the re-check."""
    first = due - timedelta(days=policy.early_days)
    last = due + timedelta(days=policy.near_days)
    near = [
        s for s in upcoming if s.ends_at > now and first <= local_day(s.starts_at, zone) <= last
    ]
    return min(near, key=lambda s: (s.starts_at, s.session_id), default=None)


def _cover_by_session(recheck: RecheckState, carrier: UpcomingSession) -> Decided:
    """Nobody is called yet; looked at again after the session, also when that one was moved."""
    next_review_at = carrier.ends_at + AFTER_SESSION
    if (recheck.covered_by_session_id, recheck.next_review_at) == (
        carrier.session_id,
        next_review_at,
    ):
        return []
    return [
        RecheckCoveredBySession(
            recheck_id=recheck.planned.recheck_id,
            prescription_id=recheck.prescription_id,
            session_id=carrier.session_id,
            next_review_at=next_review_at,
        )
    ]


def decide_call_listing(
    state: StretchesState,
    recheck_id: UUID,
    upcoming: Sequence[UpcomingSession],
    policy: RecheckSettings,
    channel: ReminderChannel,
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
    if one is None or one.status is not StretchStatus.DISCHARGED or one.discharge is None:
        return []
    carrier = covering_session(
        recheck.planned.due_on, one.discharge.zone, upcoming, policy, ctx.now
    )
    if carrier is not None:
        return _cover_by_session(recheck, carrier)
    return [
        RecheckPutOnCallList(
            recheck_id=recheck_id,
            prescription_id=recheck.prescription_id,
            channel=channel,
            due_on=recheck.planned.due_on,
        )
    ]


def open_recheck(state: StretchesState, recheck_id: UUID) -> tuple[RecheckState, PrescriptionState]:
    """A re-check that waits for a reading; 404 or 409."""
    recheck = state.rechecks.get(recheck_id)
    if recheck is None:
        raise not_found("re-check")
    if not recheck.is_open:
        raise Rejected(
            "recheck_not_open",
            f"This re-check is {words_text([recheck.status])}; nothing is left to skip.",
            extra={"status": recheck.status.value},
        )
    return recheck, state.prescriptions[recheck.prescription_id]


def decide_skip(
    state: StretchesState, recheck_id: UUID, reason: str, facts: RecheckAnswerFacts, ctx: Context
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
