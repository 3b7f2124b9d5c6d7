"""Touch consent on the client's record.

A refusal or withdrawal narrows: it takes no version and is never refused for a stale one.
"""

from __future__ import annotations

from uuid import UUID

import msgspec

from clients.domain.commands import EndConsent, RecordConsent
from clients.domain.deciding import consenting
from clients.domain.state.consent import CONSENT
from clients.services.practitioners import known_practitioners
from clients.services.registered import execute
from practice.eventlog.runner import Outcome, Work
from practice.models import Staff
from practice.selectors import settings_group


def consent_record(
    work: Work, *, client_id: UUID, command: RecordConsent, if_match: int | None = None
) -> Outcome:
    """A touch consent that the client gave; obtained by the caller unless another is named."""
    work.lock(client_id)
    if not command.obtained.by:
        by = Staff.objects.filter(pk=work.actor.id).values_list("name", flat=True).first()
        obtained = msgspec.structs.replace(command.obtained, by=by or "")
        command = msgspec.structs.replace(command, obtained=obtained)
    known_practitioners(command.scope.practitioners)
    days = settings_group("permissions", consenting.ConsentSettings)[0].consent_days
    return execute(
        work,
        client_id,
        CONSENT,
        lambda _consent, details, ctx: consenting.record(command, details, days=days, ctx=ctx),
        if_match=if_match,
    )


def consent_decline(work: Work, *, client_id: UUID, command: EndConsent) -> Outcome:
    """The client was asked and declined."""
    return execute(
        work,
        client_id,
        CONSENT,
        lambda consent, _details, ctx: consenting.decline(consent, command, ctx),
    )


def consent_withdraw(work: Work, *, client_id: UUID, command: EndConsent) -> Outcome:
    """The client withdrew the consent."""
    return execute(
        work,
        client_id,
        CONSENT,
        lambda consent, _details, ctx: consenting.withdraw(consent, command, ctx),
    )
