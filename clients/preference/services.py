"""Provider preference and agreed exceptions on the client's record."""

from __future__ import annotations

from uuid import UUID

from clients.identity.practitioners import check_practitioners_exist
from clients.identity.registered import execute
from clients.preference.domain import decisions as preferring
from clients.preference.domain.commands import AgreeException, StatePreference
from clients.preference.domain.state import PREFERENCE
from practice.work.unit_of_work import Outcome, UnitOfWork


def preference_state(
    uow: UnitOfWork, *, client_id: UUID, command: StatePreference, if_match: int | None = None
) -> Outcome:
    """Whom the client prefers from now on."""
    uow.lock(client_id)
    check_practitioners_exist(command.practitioner_ids)
    return execute(
        uow,
        client_id,
        PREFERENCE,
        lambda preference, _details, ctx: preferring.state_preference(preference, command, ctx),
        if_match=if_match,
    )


def exception_agree(
    uow: UnitOfWork, *, client_id: UUID, command: AgreeException, if_match: int | None = None
) -> Outcome:
    """The client's own exception for one practitioner."""
    uow.lock(client_id)
    check_practitioners_exist([command.practitioner_id], field="practitioner_id")
    return execute(
        uow,
        client_id,
        PREFERENCE,
        lambda preference, details, ctx: preferring.agree_exception(
            preference, command, details.zone, ctx
        ),
        if_match=if_match,
    )
