"""The command that gives a client what is on record."""

from __future__ import annotations

from uuid import UUID

from billing.record_requests.domain.decisions import RequestRecord, decide_request
from billing.record_requests.selectors import check_allowed
from clients.identity.domain.state import IDENTITY
from clients.record.selectors import client_as_known
from practice.work.unit_of_work import Outcome, UnitOfWork


def record_request(uow: UnitOfWork, *, client_id: UUID, command: RequestRecord) -> Outcome:
    """Make what is on record for the client and log it as a disclosure. Raises Rejected 403 for
    a role that the practice does not let do this."""
    uow.lock(client_id)
    check_allowed(uow.actor)
    record = client_as_known(client_id)
    return uow.execute(
        client_id, (IDENTITY,), lambda _states, ctx: decide_request(command, record, ctx)
    )
