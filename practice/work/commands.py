"""One way to run a command, whoever asks: an endpoint, a page, a job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from practice.core.decisions import Actor
from practice.core.reasons import Rejected
from practice.work.idempotency import IdempotencyClaim, Replay, StoredResponse
from practice.work.unit_of_work import UnitOfWork, unit_of_work
from practice.work.visibility import require_visible

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class CommandResponse:
    """What a command answered, as bytes; ``replayed`` where an earlier request did the work."""

    status: int
    body: bytes
    headers: dict[str, str]
    replayed: bool
    client_ids: tuple[UUID, ...] = ()


def no_response(_uow: UnitOfWork, _outcome: Any) -> StoredResponse:
    """For callers whom nobody waits for an answer of: a job, a management command."""
    return StoredResponse(status=204, body=b"", headers={})


def run_command(
    caller: Actor,
    request_id: str,
    claim: IdempotencyClaim | None,
    execute: Callable[[UnitOfWork], T],
    render: Callable[[UnitOfWork, T], StoredResponse] = no_response,
) -> CommandResponse:
    """Execute one command in a unit of work of its own and render what came of it.

    With a ``claim`` the response is kept, and a repeat of the request gets it again without
    ``execute`` being called. ``render`` runs inside the transaction, so that a response that
    cannot be rendered leaves nothing half-written. Raises Rejected: whatever ``execute``
    refuses, 422 for a key that stands for another request, and for a repeat 404 where the caller
    may not see a client of the answer any more, 409 where their role is another now.
    """
    try:
        with unit_of_work(actor=caller, request_id=request_id, claim=claim) as uow:
            response = uow.response = render(uow, execute(uow))
    except Replay as replay:
        response, replayed = replay.response, True
        _check_replay(caller, response)
    else:
        replayed = False
    return CommandResponse(
        response.status, response.body, response.headers, replayed, response.client_ids
    )


def _check_replay(caller: Actor, response: StoredResponse) -> None:
    """A repeat is given only to whom the answer would be given fresh (ruling 62)."""
    require_visible(caller, *response.client_ids)
    if response.role and response.role != caller.role:
        raise Rejected(
            "idempotency_key_spent",
            "The request under this Idempotency-Key was carried out and answered in another role."
            " Look the result up.",
        )
