"""The health history on the client's record, as told and as reviewed.

A report narrows: it takes no version and is never refused for a stale one.
"""

from __future__ import annotations

from uuid import UUID

from clients.domain.commands import ReportHistory, ReviewHistory
from clients.domain.deciding import taking_history
from clients.domain.state.health import HEALTH
from clients.services.registered import execute
from practice.eventlog.runner import Outcome, Work


def history_report(work: Work, *, client_id: UUID, command: ReportHistory) -> Outcome:
    """A health history as the desk was told it."""
    return execute(
        work,
        client_id,
        HEALTH,
        lambda _health, details, ctx: taking_history.report(command, details, ctx),
    )


def history_review(
    work: Work, *, client_id: UUID, command: ReviewHistory, if_match: int | None = None
) -> Outcome:
    """A practitioner's review, taking in every report so far."""
    work.lock(client_id)
    return execute(
        work,
        client_id,
        HEALTH,
        lambda health, details, ctx: taking_history.review(health, command, details, ctx),
        if_match=if_match,
    )
