"""The health history, as reported and as reviewed."""

from __future__ import annotations

from datetime import date

import msgspec

from clients.domain.commands import ReportHistory, ReviewHistory
from clients.domain.deciding import dates
from clients.domain.events import Details, HistoryReported, HistoryReviewed
from clients.domain.health import HistoryContent
from clients.domain.state.health import HealthState
from clients.domain.terms import ConditionKind, NeckHistory
from practice.domain.decisions import Context, Decided
from practice.domain.events import Happened
from practice.domain.localtime import local_day
from practice.domain.reasons import Rejected, invalid


def report(command: ReportHistory, details: Details, ctx: Context) -> Decided:
    """What she told the desk. Raises Rejected 400 for dates that cannot be."""
    at = dates.happened(ctx, command.occurred_at)
    day = local_day(at, details.zone)
    checked(command.content, details.birth_date, day)
    event = HistoryReported(
        report_id=ctx.new_id(), content=dated(command.content, day), told_by=command.told_by
    )
    return [Happened(event, at)]


def review(state: HealthState, command: ReviewHistory, details: Details, ctx: Context) -> Decided:
    """What a practitioner found; it takes in every report so far.

    Raises Rejected 400 for dates that cannot be, 409 where the neck was not asked but an
    earlier review had an answer: an answer is never lost by leaving it out.
    """
    at = dates.happened(ctx, command.occurred_at)
    day = local_day(at, details.zone)
    checked(command.content, details.birth_date, day)
    content = dated(command.content, day)
    known = state.reviewed.neck if state.reviewed else NeckHistory.NOT_ASKED
    if content.neck is NeckHistory.NOT_ASKED and known is not NeckHistory.NOT_ASKED:
        raise Rejected("neck_was_asked", "Her neck was asked before; take the answer over.")
    event = HistoryReviewed(
        review_id=ctx.new_id(),
        content=content,
        practitioner_id=ctx.actor.practitioner_id,
        covers=tuple(report.report_id for report in state.open_reports),
    )
    return [Happened(event, at)]


def checked(content: HistoryContent, birth_date: date | None, today: date) -> None:
    """Raises Rejected 400 for a date that cannot be, naming its field."""
    for number, operation in enumerate(content.operations):
        field = f"operations.{number}.on"
        dates.not_future(field, operation.on, today)
        dates.alive(field, operation.on, birth_date)
    for number, course in enumerate(content.radiations):
        field = f"radiations.{number}.from_date"
        dates.not_future(field, course.from_date, today)
        dates.alive(field, course.from_date, birth_date)
        dates.in_order(f"radiations.{number}.until_date", course.from_date, course.until_date)
        if not course.sites:
            raise invalid(f"radiations.{number}.sites", "Name where she was irradiated.")
    for number, condition in enumerate(content.conditions):
        field = f"conditions.{number}.since"
        dates.not_future(field, condition.since, today)
        dates.alive(field, condition.since, birth_date)


def dated(content: HistoryContent, day: date) -> HistoryContent:
    """A clot or bone metastasis without a date counts from the day it was told.

    Leave given before a condition was known does not cover it.
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
