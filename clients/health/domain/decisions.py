"""The health history, as reported and as reviewed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import msgspec

from clients.health.domain import free_words
from clients.health.domain.commands import ReportHistory, ReviewHistory
from clients.health.domain.content import Condition, HistoryContent, Operation
from clients.health.domain.events import HistoryReported, HistoryReviewed
from clients.health.domain.state import HealthState
from clients.health.domain.terms import BloodCountKind, ConditionKind, NeckHistory
from clients.identity.domain import dates
from clients.identity.domain.events import ClientDetails
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid

CLEARED_LATER = frozenset(
    {
        ConditionKind.CLOT,
        ConditionKind.ARM_CLOT,
        ConditionKind.BONE_METASTASIS,
        ConditionKind.BRAIN_METASTASIS,
        ConditionKind.SEIZURES,
        ConditionKind.HEART_DISEASE,
        ConditionKind.HEART_DEVICE,
    }
)
ENDING = frozenset(
    {
        ConditionKind.CHEMOTHERAPY,
        ConditionKind.ANTICOAGULANTS,
        ConditionKind.IMPLANTED_PORT,
        ConditionKind.COMPRESSION_GARMENT,
    }
)

# Above these a count was written in another unit (platelets per microliter, hemoglobin per
# liter), and would pass for a good one.
GREATEST_COUNT = {
    BloodCountKind.NEUTROPHILS: (100_000, "neutrophils per microliter"),
    BloodCountKind.PLATELETS: (3_000, "10^9 platelets per liter"),
    BloodCountKind.HEMOGLOBIN: (25, "grams of hemoglobin per deciliter"),
}


def report_history(command: ReportHistory, details: ClientDetails, ctx: Context) -> Decided:
    """A history as told to the desk. Raises Rejected 400 for dates that cannot be."""
    at = dates.occurrence_time(ctx, command.occurred_at)
    day = local_day(at, details.zone)
    check_content(command.content, details.birth_date, day)
    free_words.check_reported(command.content)
    content = free_words.as_conditions(command.content, ctx.new_id)
    event = HistoryReported(
        report_id=ctx.new_id(),
        content=with_default_dates(content, day),
        informant=command.informant,
    )
    return [DatedEvent(event, at)]


def review_history(
    state: HealthState,
    command: ReviewHistory,
    details: ClientDetails,
    *,
    check_may_evaluate: Callable[[], None],
    ctx: Context,
) -> Decided:
    """What a practitioner found; it takes in every report so far.

    Raises Rejected 400 for dates that cannot be, 409 where the neck was not asked but an
    earlier review had an answer, or where free words that narrow are left out: an answer is
    never lost by leaving it out. ``check_may_evaluate`` is called where the review says what
    free words mean (ruling 51), and raises Rejected 403.
    """
    at = dates.occurrence_time(ctx, command.occurred_at)
    day = local_day(at, details.zone)
    check_content(command.content, details.birth_date, day)
    free_words.check_complete(command.content)
    before = known_conditions(state)
    free_words.check_kept(command.content, before)
    if free_words.answers_words(command.content, before):
        check_may_evaluate()
    content = with_default_dates(free_words.as_conditions(command.content, ctx.new_id), day)
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


def known_conditions(state: HealthState) -> list[Condition]:
    """The conditions as reviewed last and as reported since."""
    histories = [state.reviewed] if state.reviewed else []
    histories += [report.content for report in state.open_reports]
    return [condition for history in histories for condition in history.conditions]


def check_content(content: HistoryContent, birth_date: date | None, today: date) -> None:
    """Raises Rejected 400 for a date that cannot be, naming its field."""
    for number, operation in enumerate(content.operations):
        field = f"operations.{number}.on"
        _check_planned(field, operation, today)
        dates.check_within_lifetime(field, operation.on, birth_date)
    for number, course in enumerate(content.radiations):
        field = f"radiations.{number}.from_date"
        dates.check_not_future(field, course.first_day, today)
        dates.check_within_lifetime(field, course.from_date, birth_date)
        dates.check_order(f"radiations.{number}.until_date", course.first_day, course.until_date)
        if not course.sites:
            raise invalid(f"radiations.{number}.sites", "Name where the radiation was given.")
        dates.check_not_future(f"radiations.{number}.skin_seen_on", course.skin_seen_on, today)
        if course.skin_seen_on is not None and course.skin_broken is None:
            raise invalid(f"radiations.{number}.skin_broken", "Say whether the skin is broken.")
    for number, condition in enumerate(content.conditions):
        _check_condition(f"conditions.{number}", condition, birth_date, today)
    for number, count in enumerate(content.blood_counts):
        field = f"blood_counts.{number}.drawn_on"
        dates.check_not_future(field, count.drawn_on, today)
        dates.check_within_lifetime(field, count.drawn_on, birth_date)
        greatest, unit = GREATEST_COUNT[count.kind]
        if not 0 <= count.value <= greatest:
            raise invalid(
                f"blood_counts.{number}.value", f"Give it in {unit}: at most {greatest:g}."
            )


def _check_condition(
    field: str, condition: Condition, birth_date: date | None, today: date
) -> None:
    dates.check_not_future(f"{field}.since", condition.first_day, today)
    dates.check_within_lifetime(f"{field}.since", condition.since, birth_date)
    dates.check_order(f"{field}.until", condition.first_day, condition.until)
    if condition.until is not None and condition.kind not in ENDING:
        raise invalid(f"{field}.until", "A condition of this kind does not end by a date.")
    needle = condition.accessed_from or condition.accessed_until
    if needle is not None and condition.kind is not ConditionKind.IMPLANTED_PORT:
        raise invalid(f"{field}.accessed_from", "Only a port has a needle in it.")
    dates.check_order(f"{field}.accessed_until", condition.accessed_from, condition.accessed_until)


def _check_planned(field: str, operation: Operation, today: date) -> None:
    """Raises Rejected 400 where a day ahead is not said to be planned, or a plan has passed."""
    on, first = operation.on, operation.first_day
    if not operation.planned:
        if first is not None and first > today:
            raise invalid(field, "It lies ahead: say that it is planned (planned: true).")
        return
    if on is None:
        raise invalid(field, "Give the day, month or year that it is planned for.")
    if on < today:
        raise invalid(field, "The day has passed: say what was done, or give the new day.")


def with_default_dates(content: HistoryContent, day: date) -> HistoryContent:
    """What has happened lies not after the day on which it was told.

    A condition that waits for a clearance, without a date, counts from that day: clearance given
    before it was known does not cover it.
    """
    content = _until_told(content, day)
    return msgspec.structs.replace(
        content,
        conditions=tuple(
            msgspec.structs.replace(condition, since=day)
            if condition.kind in CLEARED_LATER and condition.since is None
            else condition
            for condition in content.conditions
        ),
    )


def _until_told(content: HistoryContent, day: date) -> HistoryContent:
    """A month or year that is not over yet ends on the day it was told, except for plans."""

    def capped(entry: Any, field: str) -> Any:
        on: date | None = getattr(entry, field)
        if on is None or on <= day or getattr(entry, "planned", False):
            return entry
        return msgspec.structs.replace(entry, **{field: day})

    return msgspec.structs.replace(
        content,
        operations=tuple(capped(one, "on") for one in content.operations),
        radiations=tuple(capped(one, "from_date") for one in content.radiations),
        conditions=tuple(capped(one, "since") for one in content.conditions),
    )
