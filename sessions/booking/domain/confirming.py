"""Whether the client said that they come. Pure decisions over the calendar slice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.reasons import Rejected, invalid
from sessions.calendar.domain.events import SessionConfirmationTakenBack, SessionConfirmed
from sessions.calendar.domain.session_state import CalendarState, Confirmation, SessionStatus
from sessions.calendar.domain.terms import ConfirmedBy, ConfirmedHow


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfirmSession:
    """Someone says that the client comes (``by`` whom and ``how``), or, with ``confirmed``
    False and a ``reason``, that it is not certain any more. ``occurred_at``: when it was said,
    where it is entered later."""

    session_id: UUID
    confirmed: bool = True
    by: ConfirmedBy = ConfirmedBy.CLIENT
    how: ConfirmedHow | None = None
    reason: str = ""
    occurred_at: datetime | None = None


def decide_confirm(state: CalendarState, command: ConfirmSession, ctx: Context) -> Decided:
    """Keep that the client comes, or take that back with the reason.

    Only of a session that is booked and has not ended. What stands already changes nothing.
    """
    session = state.session(command.session_id)
    _check_words(command, ctx)
    if session.status is not SessionStatus.BOOKED or session.ends_at <= ctx.now:
        over = "over" if session.status is SessionStatus.BOOKED else session.status.value
        raise Rejected(
            "session_status",
            f"The session is {over}; only one that is booked and still to come is confirmed.",
            extra={"session_status": session.status.value},
        )
    if command.confirmed and command.how is not None:
        if session.confirmation == Confirmation(command.by, command.how):
            return []
        confirmed = SessionConfirmed(session_id=session.id, by=command.by, how=command.how)
        at = command.occurred_at
        return [confirmed if at is None else DatedEvent(confirmed, at)]
    if session.confirmation is None:
        return []
    reason = command.reason.strip()
    return [SessionConfirmationTakenBack(session_id=session.id, reason=reason)]


def _check_words(command: ConfirmSession, ctx: Context) -> None:
    if command.occurred_at is not None and command.occurred_at > ctx.now:
        raise invalid("occurred_at", "That time has not come yet.")
    if command.confirmed and command.how is None:
        raise invalid("how", "Say how it was confirmed, e.g. `phone`.")
    if command.confirmed and command.reason.strip():
        raise invalid("reason", "A reason belongs to taking a confirmation back.")
    if not command.confirmed and not command.reason.strip():
        raise invalid("reason", "Say why it is not confirmed any more.")
