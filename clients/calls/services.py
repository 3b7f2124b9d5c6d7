"""The command that keeps what came of a call."""

from __future__ import annotations

from uuid import UUID

from clients.calls.domain.decisions import RecordCall, decide_call
from clients.calls.domain.state import CALLS
from clients.calls.selectors import subjects_of
from clients.identity.registered import execute
from practice.work.unit_of_work import Outcome, UnitOfWork


def call_record(uow: UnitOfWork, *, client_id: UUID, command: RecordCall) -> Outcome:
    """Keep a call to a client, as in RecordCall."""
    uow.lock(client_id)
    listed = subjects_of(client_id, uow.now)
    return execute(
        uow, client_id, CALLS, lambda _calls, _details, ctx: decide_call(command, listed, ctx)
    )
