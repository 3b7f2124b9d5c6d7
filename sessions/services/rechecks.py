"""Commands on re-checks: the call when one comes due, skipping one; how they are answered."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID, uuid4

from practice.clock import clock
from practice.domain.decisions import Context, Decided, Reactor, States
from practice.due.registry import NotYet, delivery, handler
from practice.eventlog.runner import Outcome, Work
from practice.models import PRACTICE_ID, Practice
from practice.selectors import settings_group
from sessions.domain.calendar.state import CALENDAR, HOLDS_TIME, Calendar
from sessions.domain.motion.events import PostureFound, ReadingRecorded
from sessions.domain.motion.followup import FollowUp
from sessions.domain.motion.state import MOTION
from sessions.domain.programme.answering import AnswerFacts
from sessions.domain.programme.calling import UpcomingSession, decide_call, decide_skip
from sessions.domain.programme.due import KIND, MAIL, recheck_of
from sessions.domain.programme.events import (
    Channel,
    RecheckHeld,
    StretchDischarged,
)
from sessions.domain.programme.followup import (
    answered_rechecks,
    recheck_warnings,
    standing_discharges,
)
from sessions.domain.programme.quiet import ReminderSettings, quiet_until
from sessions.domain.programme.reacting import answer_rechecks
from sessions.domain.programme.state import PROGRAMME
from sessions.selectors.facilities import opening_of
from sessions.selectors.measurement import measurement_settings
from sessions.selectors.programme import discharges_of_client
from sessions.selectors.programmesettings import recheck_settings
from sessions.services.clientfacts import mail_of, person_of
from sessions.services.reminders import send_reminder


def _upcoming(calendar: Calendar) -> list[UpcomingSession]:
    return [
        UpcomingSession(one.id, one.starts_at, one.ends_at)
        for one in calendar.sessions.values()
        if one.status in HOLDS_TIME
    ]


def recheck_call(work: Work, *, client_id: UUID, recheck_id: UUID) -> Outcome:
    """Decide again whether a coming re-check is wanted; if so, put it on the desk's call list.

    The event guards that it happens once. Where the client allows mail, it plans the mail as
    due work of its own, so that a mail server that is away never keeps it off the list.
    """
    work.lock(client_id)
    policy, _ = recheck_settings()
    person = person_of(work, client_id)
    channel = Channel.MAIL if person.mail else Channel.LIST_ONLY

    def decide(states: States, ctx: Context) -> Decided:
        upcoming = _upcoming(states[CALENDAR])
        return decide_call(states[PROGRAMME], recheck_id, upcoming, policy, channel, ctx)

    return work.execute(client_id, (PROGRAMME, CALENDAR), decide)


@handler(KIND)
def recheck_due(work: Work, subject: UUID, key: str) -> None:
    """A re-check comes due."""
    recheck_call(work, client_id=subject, recheck_id=recheck_of(key))


@delivery(MAIL)
def recheck_mail(client_id: UUID, key: str) -> None:
    """Write to the client, unless she has since taken back that she allows mail."""
    mail, zone = mail_of(client_id)
    settings, _ = settings_group("reminders", ReminderSettings)
    wait = quiet_until(clock.now(), zone, settings)
    if mail and wait is not None:
        raise NotYet(wait)
    if mail:
        practice = Practice.objects.get(pk=PRACTICE_ID)
        occasion = f"recheck-{recheck_of(key)}"
        send_reminder(to=mail, occasion=occasion, name=practice.name, phone=practice.phone)


def answer_facts(new_id: Callable[[], UUID]) -> AnswerFacts:
    """What answering a re-check needs, read after the lock."""
    policy, _ = recheck_settings()
    return AnswerFacts(
        measurement=measurement_settings(), policy=policy, opening=opening_of, new_id=new_id
    )


ANSWER_RECHECKS = Reactor(
    name="answer re-checks",
    on=(ReadingRecorded, PostureFound, StretchDischarged, RecheckHeld),
    slices=(PROGRAMME, MOTION),
    react=answer_rechecks,
    gather=lambda _client_id, _states, _rec: answer_facts(uuid4),
)
"""The one place where what is measured meets re-checks, however it was entered."""

FOLLOW_UP = FollowUp(
    slices=(PROGRAMME,),
    folded=lambda states: standing_discharges(states[PROGRAMME]),
    stored=discharges_of_client,
    answered=answered_rechecks,
    warnings=recheck_warnings,
)
"""What readings and their picture show of discharges and re-checks."""


def recheck_skip(
    work: Work, *, client_id: UUID, recheck_id: UUID, reason: str, if_match: int | None = None
) -> Outcome:
    """A re-check that will not be done, with the reason."""
    work.lock(client_id)
    facts = answer_facts(work.context.new_id)
    return work.execute(
        client_id,
        (PROGRAMME,),
        lambda states, ctx: decide_skip(states[PROGRAMME], recheck_id, reason, facts, ctx),
        if_match=if_match,
    )
