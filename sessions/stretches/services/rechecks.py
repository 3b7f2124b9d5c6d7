"""Commands on re-checks: the call when one comes due, skipping one; how they are answered."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID, uuid4

from clients.identity.person import client_details
from practice.core.decisions import Context, Decided, Reactor, States
from practice.jobs.models import ScheduledJob
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.calendar.domain.session_state import TIME_HOLDING_STATUSES, CalendarState
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.measurements.domain.events import (
    PostureEnteredInError,
    PostureRecorded,
    ReadingEnteredInError,
    ReadingRecorded,
)
from sessions.measurements.domain.follow_up import FollowUp
from sessions.measurements.domain.state import MEASUREMENTS
from sessions.measurements.selectors.settings import measurement_settings
from sessions.stretches.domain.call_list import UpcomingSession, decide_call_listing, decide_skip
from sessions.stretches.domain.events import (
    RecheckMaintained,
    RecheckReopened,
    ReminderChannel,
    StretchDischarged,
)
from sessions.stretches.domain.follow_up import (
    answered_rechecks,
    discharges_on_errors,
    last_discharges,
    losses_since_discharge,
    recheck_warnings,
)
from sessions.stretches.domain.reactors import answer_rechecks
from sessions.stretches.domain.recheck_answers import RecheckAnswerFacts
from sessions.stretches.domain.session_in_error import start_warnings
from sessions.stretches.domain.state import STRETCHES
from sessions.stretches.selectors.prescriptions import discharges_of_client
from sessions.stretches.selectors.rechecks import recheck_get
from sessions.stretches.selectors.settings import recheck_settings


def _upcoming(calendar: CalendarState) -> list[UpcomingSession]:
    return [
        UpcomingSession(one.id, one.starts_at, one.ends_at)
        for one in calendar.sessions.values()
        if one.status in TIME_HOLDING_STATUSES
    ]


def recheck_put_on_call_list(uow: UnitOfWork, *, client_id: UUID, recheck_id: UUID) -> Outcome:
    """Decide again whether a coming re-check is wanted; if so, put it on the desk's call list.

    The event guards that it happens once, and plans the reminders as jobs of their own, so
    that a mail server that is away never keeps it off the list.
    """
    uow.lock(client_id)
    policy, _ = recheck_settings()
    person = client_details(uow, client_id)
    channel = ReminderChannel.MAIL if person.mail else ReminderChannel.LIST_ONLY

    def decide(states: States, ctx: Context) -> Decided:
        upcoming = _upcoming(states[CALENDAR])
        return decide_call_listing(states[STRETCHES], recheck_id, upcoming, policy, channel, ctx)

    return uow.execute(client_id, (STRETCHES, CALENDAR), decide)


def recheck_due(uow: UnitOfWork, job: ScheduledJob) -> None:
    """A re-check comes due."""
    recheck_put_on_call_list(uow, client_id=job.subject, recheck_id=job.about)


def recheck_answer_facts(new_id: Callable[[], UUID]) -> RecheckAnswerFacts:
    """What answering a re-check needs, read after the lock."""
    policy, _ = recheck_settings()
    return RecheckAnswerFacts(
        measurement=measurement_settings(),
        policy=policy,
        calendar_of=facility_calendar,
        new_id=new_id,
    )


ANSWER_RECHECKS = Reactor(
    name="answer re-checks",
    on=(
        ReadingRecorded,
        PostureRecorded,
        ReadingEnteredInError,
        PostureEnteredInError,
        StretchDischarged,
        RecheckMaintained,
        RecheckReopened,
    ),
    slices=(STRETCHES, MEASUREMENTS),
    react=answer_rechecks,
    lookup=lambda _client_id, _states, _rec: recheck_answer_facts(uuid4),
)
"""The one place where what is measured meets re-checks, however it was entered."""

FOLLOW_UP = FollowUp(
    slices=(STRETCHES,),
    folded=lambda states: last_discharges(states[STRETCHES]),
    losses=lambda states, settings: losses_since_discharge(
        states[STRETCHES], states[MEASUREMENTS], settings
    ),
    on_errors=lambda states: discharges_on_errors(states[STRETCHES], states[MEASUREMENTS]),
    stored=discharges_of_client,
    answered=answered_rechecks,
    warnings=lambda events: [*recheck_warnings(events), *start_warnings(events)],
)
"""What readings and their picture show of discharges and re-checks."""


def recheck_skip(
    uow: UnitOfWork, *, recheck_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Outcome:
    """A re-check that will not be done, with the ``reason``. Raises Rejected 404 for one that
    the caller does not see."""
    client_id = recheck_get(uow.actor, recheck_id).client_id
    uow.lock(client_id)
    facts = recheck_answer_facts(uow.context.new_id)
    outcome = uow.execute(
        client_id,
        (STRETCHES,),
        lambda states, ctx: decide_skip(
            states[STRETCHES], recheck_id, command["reason"], facts, ctx
        ),
        if_match=if_match,
    )
    outcome.entity_id = recheck_id
    return outcome
