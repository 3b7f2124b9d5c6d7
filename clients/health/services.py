"""The health history on the client's record, as told and as reviewed.

A report narrows: it takes no version and is never refused for a stale one.
"""

from __future__ import annotations

from uuid import UUID

from clients.health.domain import decisions as taking_history
from clients.health.domain.commands import ReportHistory, ReviewHistory
from clients.health.domain.state import HEALTH
from clients.identity.domain.evaluating import EvaluationSettings, check_may_evaluate
from clients.identity.practitioners import credential_of
from clients.identity.registered import execute
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import Outcome, UnitOfWork


def history_report(uow: UnitOfWork, *, client_id: UUID, command: ReportHistory) -> Outcome:
    """A health history as the desk was told it."""
    return execute(
        uow,
        client_id,
        HEALTH,
        lambda _health, details, ctx: taking_history.report_history(command, details, ctx),
    )


def history_review(
    uow: UnitOfWork, *, client_id: UUID, command: ReviewHistory, if_match: int | None = None
) -> Outcome:
    """A practitioner's review, taking in every report so far."""

    def may_evaluate() -> None:
        evaluating = settings_group("permissions", EvaluationSettings)[0].evaluating_credentials
        check_may_evaluate(credential_of(uow.actor.practitioner_id), evaluating)

    uow.lock(client_id)
    return execute(
        uow,
        client_id,
        HEALTH,
        lambda health, details, ctx: taking_history.review_history(
            health, command, details, check_may_evaluate=may_evaluate, ctx=ctx
        ),
        if_match=if_match,
    )
