"""What may be done with a client: consent, preference, history and orders on her record.

A fact that narrows (a report, a refusal, a withdrawal) takes no version: it is never
refused for a stale one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from uuid import UUID

import msgspec

from clients.domain.commands import (
    AgreeException,
    EndConsent,
    FileOrder,
    LiftOrder,
    RecordConsent,
    ReportHistory,
    ReviewHistory,
    StatePreference,
)
from clients.domain.deciding import consenting, filing_orders, preferring, taking_history
from clients.domain.events import Details
from clients.domain.facts import FACTS
from clients.domain.identity import IDENTITY, Identity
from clients.domain.permissions.inputs import ClientFacts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.reports import REPORTS
from practice.domain.decisions import Context, Decided
from practice.domain.reasons import Rejected, invalid
from practice.eventlog.runner import Outcome, Work
from practice.models import Practitioner, Staff
from practice.selectors import settings_group

SLICES = (IDENTITY, FACTS)


@dataclass(frozen=True, slots=True)
class _Known:
    """What these decisions are made from."""

    details: Details
    facts: ClientFacts


def history_report(work: Work, *, client_id: UUID, command: ReportHistory) -> Outcome:
    """A health history as the desk was told it."""
    return _execute(
        work,
        client_id,
        lambda known, ctx: taking_history.report(command, known.details, ctx),
    )


def history_review(
    work: Work, *, client_id: UUID, command: ReviewHistory, if_match: int | None = None
) -> Outcome:
    """A practitioner's review, taking in every report so far."""
    work.lock(client_id)
    return work.execute(
        client_id,
        (IDENTITY, REPORTS),
        lambda states, ctx: taking_history.review(
            states[REPORTS], command, _details(states[IDENTITY]), ctx
        ),
        if_match=if_match,
    )


def consent_record(
    work: Work, *, client_id: UUID, command: RecordConsent, if_match: int | None = None
) -> Outcome:
    """A touch consent that she gave; it was obtained by the caller unless another is named."""
    work.lock(client_id)
    if not command.obtained.by:
        by = Staff.objects.filter(pk=work.actor.id).values_list("name", flat=True).first()
        obtained = msgspec.structs.replace(command.obtained, by=by or "")
        command = msgspec.structs.replace(command, obtained=obtained)
    known_practitioners(command.scope.practitioners)
    days = settings_group("permissions", PermissionSettings)[0].consent_days
    return _execute(
        work,
        client_id,
        lambda known, ctx: consenting.record(
            known.facts, command, known.details, days=days, ctx=ctx
        ),
        if_match=if_match,
    )


def consent_decline(work: Work, *, client_id: UUID, command: EndConsent) -> Outcome:
    """She was asked and declined."""
    return _execute(
        work,
        client_id,
        lambda known, ctx: consenting.decline(known.facts, command, ctx),
    )


def consent_withdraw(work: Work, *, client_id: UUID, command: EndConsent) -> Outcome:
    """She withdrew her consent."""
    return _execute(
        work,
        client_id,
        lambda known, ctx: consenting.withdraw(known.facts, command, ctx),
    )


def preference_state(
    work: Work, *, client_id: UUID, command: StatePreference, if_match: int | None = None
) -> Outcome:
    """Whom she prefers from now on."""
    work.lock(client_id)
    known_practitioners(command.practitioners)
    return _execute(
        work,
        client_id,
        lambda known, ctx: preferring.state_preference(known.facts, command, ctx),
        if_match=if_match,
    )


def exception_agree(
    work: Work, *, client_id: UUID, command: AgreeException, if_match: int | None = None
) -> Outcome:
    """Her own exception for one practitioner."""
    work.lock(client_id)
    known_practitioners([command.practitioner_id], field="practitioner_id")
    return _execute(
        work,
        client_id,
        lambda known, ctx: preferring.agree(known.facts, command, known.details.zone, ctx),
        if_match=if_match,
    )


def order_file(
    work: Work, *, client_id: UUID, command: FileOrder, if_match: int | None = None
) -> Outcome:
    """A surgeon's or physician's paper."""
    work.lock(client_id)
    days = settings_group("permissions", PermissionSettings)[0].leave_days
    return _execute(
        work,
        client_id,
        lambda known, ctx: filing_orders.file_order(
            command, known.details, leave_days=days, ctx=ctx
        ),
        if_match=if_match,
    )


def order_lift(
    work: Work, *, client_id: UUID, command: LiftOrder, if_match: int | None = None
) -> Outcome:
    """An order lifted by name and date."""
    return _execute(
        work,
        client_id,
        lambda known, ctx: filing_orders.lift(known.facts, command, known.details.zone, ctx),
        if_match=if_match,
    )


def known_practitioners(wanted: Iterable[UUID], field: str = "practitioners") -> None:
    """Raises Rejected 400 for an id that is no practitioner."""
    asked = set(wanted)
    there = set(Practitioner.objects.filter(pk__in=asked).values_list("pk", flat=True))
    if asked - there:
        raise invalid(field, f"No practitioner has the id {min(asked - there)}.")


def _execute(
    work: Work,
    client_id: UUID,
    decide: Callable[[_Known, Context], Decided],
    if_match: int | None = None,
) -> Outcome:
    return work.execute(
        client_id,
        SLICES,
        lambda states, ctx: decide(_Known(_details(states[IDENTITY]), states[FACTS]), ctx),
        if_match=if_match,
    )


def _details(identity: Identity) -> Details:
    if identity.details is None:
        raise Rejected("not_registered", "This client was never registered.")
    return identity.details
