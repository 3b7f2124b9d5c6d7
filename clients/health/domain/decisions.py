"""The health history, as reported and as reviewed."""

from __future__ import annotations

from datetime import date

import msgspec

from clients.health.domain.commands import ReportHistory, ReviewHistory
from clients.health.domain.content import HistoryContent
from clients.health.domain.events import HistoryReported, HistoryReviewed
from clients.health.domain.state import HealthState
from clients.health.domain.terms import ConditionKind, NeckHistory
from clients.identity.domain import dates
from clients.identity.domain.events import ClientDetails
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid


def report_history(command: ReportHistory, details: ClientDetails, ctx: Context) -> Decided:
    """A history as told to the desk. Raises Rejected 400 for dates that cannot be."""
    at = dates.occurrence_time(ctx, command.occurred_at)
    day = local_day(at, details.zone)
    check_content(command.content, details.birth_date, day)
    event = HistoryReported(
        report_id=ctx.new_id(),
        content=with_default_dates(command.content, day),
        informant=command.informant,
    )
    return [DatedEvent(event, at)]


def review_history(
    state: HealthState, command: ReviewHistory, details: ClientDetails, ctx: Context
) -> Decided:
    """What a practitioner found; it takes in every report so far.

    Raises Rejected 400 for dates that cannot be, 409 where the neck was not asked but an
    earlier review had an answer: an answer is never lost by leaving it out.
    """
    at = dates.occurrence_time(ctx, command.occurred_at)
    day = local_day(at, details.zone)
    check_content(command.content, details.birth_date, day)
    content = with_default_dates(command.content, day)
    known = state.reviewed.neck if state.reviewed else NeckHistory.NOT_ASKED
    if content.neck is NeckHistory.NOT_ASKED and known is not NeckHistory.NOT_ASKED:
        raise Rejected("neck_was_asked", "The neck was asked about before; take the answer over.")
    event = HistoryReviewed(
        review_id=ctx.new_id(),
        content=content,
        practitioner_id=ctx.actor.practitioner_id,
        covers=tuple(report.report_id for report in state.open_reports),
    )
    return [DatedEvent(event, at)]


def check_content(content: HistoryContent, birth_date: date | None, today: date) -> None:
    """Raises Rejected 400 for a date that cannot be, naming its field."""
    for number, operation in enumerate(content.operations):
        field = f"operations.{number}.on"
        dates.check_not_future(field, operation.on, today)
        dates.check_within_lifetime(field, operation.on, birth_date)
    for number, course in enumerate(content.radiations):
        field = f"radiations.{number}.from_date"
        dates.check_not_future(field, course.from_date, today)
        dates.check_within_lifetime(field, course.from_date, birth_date)
        dates.check_order(f"radiations.{number}.until_date", course.from_date, course.until_date)
        if not course.sites:
            raise invalid(f"radiations.{number}.sites", "Name where the radiation was given.")
    for number, condition in enumerate(content.conditions):
        field = f"conditions.{number}.since"
        dates.check_not_future(field, condition.since, today)
        dates.check_within_lifetime(field, condition.since, birth_date)


def with_default_dates(content: HistoryContent, day: date) -> HistoryContent:
    """A clot or bone metastasis without a date counts from the day it was told.

    A clearance given before a condition was known does not cover it.
    """
    late = (ConditionKind.CLOT, ConditionKind.BONE_METASTASIS)
    return msgspec.structs.replace(
        content,
        conditions=tuple(
            msgspec.structs.replace(condition, since=day)
            if condition.kind in late and condition.since is None
            else condition
            for condition in content.conditions
        ),
    )
