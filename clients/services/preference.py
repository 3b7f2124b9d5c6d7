"""Provider preference and agreed exceptions on the client's record."""

from __future__ import annotations

from uuid import UUID

from clients.domain.commands import AgreeException, StatePreference
from clients.domain.deciding import preferring
from clients.domain.state.preference import PREFERENCE
from clients.services.practitioners import known_practitioners
from clients.services.registered import execute
from practice.eventlog.runner import Outcome, Work


def preference_state(
    work: Work, *, client_id: UUID, command: StatePreference, if_match: int | None = None
) -> Outcome:
    """Whom the client prefers from now on."""
    work.lock(client_id)
    known_practitioners(command.practitioners)
    return execute(
        work,
        client_id,
        PREFERENCE,
        lambda preference, _details, ctx: preferring.state_preference(preference, command, ctx),
        if_match=if_match,
    )


def exception_agree(
    work: Work, *, client_id: UUID, command: AgreeException, if_match: int | None = None
) -> Outcome:
    """The client's own exception for one practitioner."""
    work.lock(client_id)
    known_practitioners([command.practitioner_id], field="practitioner_id")
    return execute(
        work,
        client_id,
        PREFERENCE,
        lambda preference, details, ctx: preferring.agree(preference, command, details.zone, ctx),
        if_match=if_match,
    )
