"""Mails of re-checks that never reached their client."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from django.db.models import Exists

from clients.reminders.selectors import unsent_about
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource
from sessions.stretches.domain.jobs import REMINDER_JOB
from sessions.stretches.domain.prescription_state import RecheckStatus
from sessions.stretches.models import Recheck

UNSENT = "mail"


def mail_not_sent() -> Exists:
    """For a query on re-checks: whether a reminder of theirs never reached the client."""
    return unsent_about(REMINDER_JOB.removeprefix("remind_"))


def _unsent(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    """The sessions whose client waits for a re-check of which no mail told them."""
    clients = {row.client_id for row in sessions}
    waiting = Recheck.objects.filter(
        mail_not_sent(), client_id__in=clients, status=RecheckStatus.ON_CALL_LIST
    )
    told = set(waiting.values_list("client_id", flat=True))
    return {row.pk: [UNSENT] for row in sessions if row.client_id in told}


MAIL_GAPS = GapSource({UNSENT: "A reminder of a re-check was not sent: tell the client."}, _unsent)
