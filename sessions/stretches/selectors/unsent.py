"""Mails of re-checks that never reached their client."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from django.db.models import Exists, OuterRef

from practice.jobs.models import ScheduledJob
from sessions.calendar.models import Session
from sessions.calendar.selectors.gaps import GapSource
from sessions.stretches.domain.jobs import RECHECK_MAIL_JOB
from sessions.stretches.domain.prescription_state import RecheckStatus
from sessions.stretches.models import Recheck

UNSENT = "mail"
NOT_SENT = (ScheduledJob.Status.GIVEN_UP, ScheduledJob.Status.NOT_WANTED)
"""No mail goes out any more: the client is told by a person."""


def mail_not_sent() -> Exists:
    """For a query on re-checks: whether their mail never reaches the client."""
    mails = ScheduledJob.objects.filter(kind=RECHECK_MAIL_JOB, about=OuterRef("pk"))
    return Exists(mails.filter(status__in=NOT_SENT))


def _unsent(sessions: Sequence[Session]) -> Mapping[UUID, list[str]]:
    """The sessions whose client waits for a re-check of which no mail told them."""
    clients = {row.client_id for row in sessions}
    waiting = Recheck.objects.filter(
        mail_not_sent(), client_id__in=clients, status=RecheckStatus.ON_CALL_LIST
    )
    told = set(waiting.values_list("client_id", flat=True))
    return {row.pk: [UNSENT] for row in sessions if row.client_id in told}


MAIL_GAPS = GapSource({UNSENT: "A reminder of a re-check was not sent: tell the client."}, _unsent)
