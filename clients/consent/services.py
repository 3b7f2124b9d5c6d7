"""Touch consent on the client's record.

A refusal or withdrawal narrows: it takes no version and is never refused for a stale one.
"""

from __future__ import annotations

from uuid import UUID

import msgspec

from clients.consent.domain import decisions as consenting
from clients.consent.domain.commands import ConfirmConsent, EndConsent, RecordConsent
from clients.consent.domain.state import CONSENT
from clients.consent.selectors import consent_ages
from clients.identity.practitioners import check_practitioners_exist
from clients.identity.registered import execute
from practice.people_and_places.models.staff import Staff
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import Outcome, UnitOfWork


def consent_record(
    uow: UnitOfWork, *, client_id: UUID, command: RecordConsent, if_match: int | None = None
) -> Outcome:
    """A touch consent that the client gave; obtained by the caller unless another is named."""
    uow.lock(client_id)
    if not command.obtained.by:
        by = Staff.objects.filter(pk=uow.actor.id).values_list("name", flat=True).first()
        obtained = msgspec.structs.replace(command.obtained, by=by or "")
        command = msgspec.structs.replace(command, obtained=obtained)
    check_practitioners_exist(command.scope.practitioner_ids)
    settings = settings_group("permissions", consenting.ConsentSettings)[0]
    ages = consent_ages(client_id)
    return execute(
        uow,
        client_id,
        CONSENT,
        lambda _consent, details, ctx: consenting.record_consent(
            command, details, days=settings.consent_days, ages=ages, ctx=ctx
        ),
        if_match=if_match,
    )


def consent_decline(uow: UnitOfWork, *, client_id: UUID, command: EndConsent) -> Outcome:
    """The client was asked and declined."""
    return execute(
        uow,
        client_id,
        CONSENT,
        lambda consent, _details, ctx: consenting.decline_consent(consent, command, ctx),
    )


def consent_withdraw(uow: UnitOfWork, *, client_id: UUID, command: EndConsent) -> Outcome:
    """The client withdrew the consent."""
    return execute(
        uow,
        client_id,
        CONSENT,
        lambda consent, _details, ctx: consenting.withdraw_consent(consent, command, ctx),
    )


def consent_confirm(uow: UnitOfWork, *, client_id: UUID, command: ConfirmConsent) -> Outcome:
    """The client was asked about a suspended consent: it stands."""
    return execute(
        uow,
        client_id,
        CONSENT,
        lambda consent, _details, ctx: consenting.confirm_consent(consent, command, ctx),
    )
