"""Recording, amending and ending a client's authorizations."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain.decisions import (
    amend_authorization,
    end_authorization,
    record_authorization,
    reopen_authorization,
)
from billing.authorizations.domain.events import AuthorizationRecorded, AuthorizationTerms
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.models import Authorization, Visit
from billing.authorizations.selectors.authorizations import authorization_get
from billing.payers.selectors import known_codes, payers_in_use
from practice.core.decisions import Actor
from practice.core.reasons import Rejected, check_version, invalid
from practice.core.terms import Role
from practice.work.unit_of_work import Outcome, UnitOfWork


def authorization_record(
    uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any]
) -> Outcome:
    """Enter a payer's authorization for a client: ``payer_id`` and the terms.

    Raises Rejected 403 for diagnoses from anyone but billing.
    """
    _check_may_enter(uow.actor, command)
    terms = msgspec.convert(
        {name: value for name, value in command.items() if name != "payer_id"}, AuthorizationTerms
    )
    payer_id: UUID = command["payer_id"]
    uow.lock(client_id)
    if payer_id not in payers_in_use():
        raise invalid("payer_id", "There is no such payer in use.")
    known = known_codes()
    outcome = uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, ctx: record_authorization(
            states[AUTHORIZATION_BALANCE], payer_id, terms, known, ctx
        ),
    )
    outcome.entity_id = outcome.first(AuthorizationRecorded).authorization_id
    return outcome


def authorization_amend(
    uow: UnitOfWork,
    *,
    authorization_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """Extend, reduce or correct an authorization, with the ``reason``; what was used stays used.

    Raises Rejected 403 for diagnoses from anyone but billing.
    """
    _check_may_enter(uow.actor, command)
    client_id = authorization_locked(uow, authorization_id, if_match)
    changes = {name: value for name, value in command.items() if name != "reason"}
    known = known_codes()
    outcome = uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: amend_authorization(
            states[AUTHORIZATION_BALANCE], authorization_id, changes, command["reason"], known
        ),
    )
    outcome.entity_id = authorization_id
    return outcome


def authorization_end(
    uow: UnitOfWork,
    *,
    authorization_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """End an authorization early: ``ends_on`` and the ``reason``."""
    client_id = authorization_locked(uow, authorization_id, if_match)
    outcome = uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: end_authorization(
            states[AUTHORIZATION_BALANCE], authorization_id, command["ends_on"], command["reason"]
        ),
    )
    outcome.entity_id = authorization_id
    return outcome


def authorization_reopen(
    uow: UnitOfWork,
    *,
    authorization_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Outcome:
    """Take the early end of an authorization back, with the ``reason``."""
    client_id = authorization_locked(uow, authorization_id, if_match)
    outcome = uow.execute(
        client_id,
        (AUTHORIZATION_BALANCE,),
        lambda states, _: reopen_authorization(
            states[AUTHORIZATION_BALANCE], authorization_id, command["reason"]
        ),
    )
    outcome.entity_id = authorization_id
    return outcome


def authorization_locked(uow: UnitOfWork, authorization_id: UUID, if_match: int | None) -> UUID:
    """The client whose authorization it is, locked. Raises Rejected: 404 unseen, 412 stale."""
    client_id = authorization_get(uow.actor, authorization_id).client_id
    uow.lock(client_id)
    check_fresh(Authorization, authorization_id, if_match)
    return client_id


def _check_may_enter(actor: Actor, given: Mapping[str, Any]) -> None:
    if "diagnoses" in given and actor.role is not Role.BILLING:
        raise Rejected(
            "field_not_yours",
            "Diagnoses are entered by billing. Leave the field out.",
            status=403,
            fields={"diagnoses": "Only billing enters diagnoses."},
        )


def check_fresh(table: type[Authorization | Visit], key: UUID, if_match: int | None) -> None:
    """Rejected 412 where the row has moved on since the caller read it; called under the lock.

    The version of the row, not of the whole record: a session booked meanwhile is no
    reason to read an authorization again.
    """
    now = table.objects.filter(pk=key).values_list("version", flat=True).first()
    if now is not None:
        check_version(now, if_match)
