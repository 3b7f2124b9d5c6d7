"""A call is recorded with what came of it. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from clients.calls.domain.events import CallOutcome, CallSubject, ClientCalled
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.reasons import invalid


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordCall:
    """A call to a client. ``about``: the ids of what was spoken of, None for all that the call
    list has of the client; ``occurred_at``: when, if it is entered later."""

    outcome: CallOutcome
    about: tuple[UUID, ...] | None = None
    again_at: datetime | None = None
    note: str = ""
    occurred_at: datetime | None = None


def decide_call(command: RecordCall, listed: Sequence[CallSubject], ctx: Context) -> Decided:
    """Keep the call. ``listed``: what stands on the call list for the client and was not told.

    Raises Rejected 400 for times that cannot be, and for what is not on the list.
    """
    _check_times(command, ctx)
    called = ClientCalled(
        call_id=ctx.new_id(),
        outcome=command.outcome,
        about=_about(command.about, listed),
        again_at=command.again_at,
        note=command.note.strip(),
    )
    at = command.occurred_at
    return [called if at is None else DatedEvent(called, at)]


def _check_times(command: RecordCall, ctx: Context) -> None:
    again = command.again_at
    if command.occurred_at is not None and command.occurred_at > ctx.now:
        raise invalid("occurred_at", "That time has not come yet.")
    if command.outcome is CallOutcome.CALL_AGAIN and again is None:
        raise invalid("again_at", "Say when to call again.")
    if command.outcome is CallOutcome.REACHED and again is not None:
        raise invalid("again_at", "The client was reached; to call again, say `call_again`.")
    if again is not None and again <= ctx.now:
        raise invalid("again_at", "Give a time that is still to come.")


def _about(
    named: tuple[UUID, ...] | None, listed: Sequence[CallSubject]
) -> tuple[CallSubject, ...]:
    if named is None:
        return tuple(sorted(listed))
    known = {one.id for one in listed}
    for place, one in enumerate(named):
        if one not in known:
            raise invalid("about", f"Item {place}: it is not on the call list for this client.")
    return tuple(sorted(one for one in listed if one.id in named))
