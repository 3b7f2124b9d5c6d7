"""Decisions on authorizations: recording, amending, ending. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain.events import (
    AuthorizationAmended,
    AuthorizationEnded,
    AuthorizationRecorded,
    AuthorizationReopened,
    AuthorizationTerms,
)
from billing.authorizations.domain.state import AuthorizationBalance, AuthorizationState
from billing.payers.domain.rules import KnownCodes
from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid

ICD_10_CM = re.compile(r"[A-Z][0-9][0-9A-Z](\.[0-9A-Z]{1,4})?")
"""The form of an ICD-10-CM code (Official Guidelines, I.A.2: 3 to 7 characters)."""


def record_authorization(
    authorization_balance: AuthorizationBalance,
    payer_id: UUID,
    terms: AuthorizationTerms,
    known: KnownCodes,
    ctx: Context,
) -> Decided:
    """Enter a payer's authorization. The same number of one payer stands once."""
    check_terms(terms, known)
    _no_other_with(authorization_balance, payer_id, terms.number)
    return [AuthorizationRecorded(authorization_id=ctx.new_id(), payer_id=payer_id, terms=terms)]


def amend_authorization(
    authorization_balance: AuthorizationBalance,
    authorization_id: UUID,
    changes: Mapping[str, Any],
    reason: str,
    known: KnownCodes,
) -> Decided:
    """Extend, reduce or correct: the fields named in ``changes``; what was used stays used."""
    standing = _not_ended(authorization_balance, authorization_id)
    terms = msgspec.convert({**msgspec.to_builtins(standing.terms), **changes}, AuthorizationTerms)
    if terms == standing.terms:
        return []
    check_terms(terms, known)
    if terms.number != standing.terms.number:
        _no_other_with(authorization_balance, standing.payer_id, terms.number)
    return [AuthorizationAmended(authorization_id=authorization_id, terms=terms, reason=reason)]


def end_authorization(
    authorization_balance: AuthorizationBalance, authorization_id: UUID, last: date, reason: str
) -> Decided:
    """End it early, or on another day than before: ``last`` is its last day. What was used
    earlier stays used."""
    standing = authorization_balance.authorization(authorization_id)
    if standing.ended_on == last:
        return []
    if not standing.terms.starts_on <= last <= standing.terms.ends_on:
        raise invalid(
            "ends_on",
            f"Give a last day within its period, {standing.terms.starts_on} to "
            f"{standing.terms.ends_on}.",
        )
    return [AuthorizationEnded(authorization_id=authorization_id, ends_on=last, reason=reason)]


def reopen_authorization(
    authorization_balance: AuthorizationBalance, authorization_id: UUID, reason: str
) -> Decided:
    """Take an early end back: it runs to the last day that was authorized."""
    if authorization_balance.authorization(authorization_id).ended_on is None:
        return []
    return [AuthorizationReopened(authorization_id=authorization_id, reason=reason)]


def _not_ended(
    authorization_balance: AuthorizationBalance, authorization_id: UUID
) -> AuthorizationState:
    standing = authorization_balance.authorization(authorization_id)
    if standing.ended_on is not None:
        raise Rejected(
            "authorization_ended",
            f"This authorization was ended on {standing.ended_on}. Reopen it first.",
        )
    return standing


def _no_other_with(
    authorization_balance: AuthorizationBalance, payer_id: UUID, number: str
) -> None:
    for other in authorization_balance.authorizations.values():
        if other.payer_id == payer_id and other.terms.number == number:
            raise Rejected(
                "authorization_number_taken",
                "This payer's authorization with that number is on record already; amend it.",
                extra={"authorization_id": str(other.id)},
            )


def check_terms(terms: AuthorizationTerms, known: KnownCodes) -> None:
    """Refuse terms that cannot be: 400 with every field that is wrong."""
    wrong = {**_amounts(terms), **_names(terms, known)}
    if terms.ends_on < terms.starts_on:
        wrong["ends_on"] = "The last day cannot come before the first."
    if wrong:
        raise Rejected(
            "invalid", "The authorization cannot be as entered.", status=400, fields=wrong
        )


def _amounts(terms: AuthorizationTerms) -> dict[str, str]:
    wrong = {}
    limits = {"visits": terms.visits, "units": terms.units, "minutes": terms.minutes}
    lines = [line.units for line in terms.lines if line.units is not None]
    if not lines and all(one is None for one in limits.values()):
        wrong["visits"] = "Give what was authorized: visits, units or minutes."
    for field, amount in limits.items():
        if amount is not None and amount < 1:
            wrong[field] = "Give a whole number from 1, or leave it out where it is not limited."
    if any(units < 1 for units in lines):
        wrong["lines"] = "Give whole units from 1 for each service code, or leave them out."
    return wrong


def _names(terms: AuthorizationTerms, known: KnownCodes) -> dict[str, str]:
    wrong = {}
    codes = [line.code for line in terms.lines]
    unknown = sorted(set(codes) - known.service_codes)
    if unknown:
        wrong["lines"] = f"Not among the practice's service codes: {', '.join(unknown)}."
    elif len(set(codes)) < len(codes):
        wrong["lines"] = "Name each service code once."
    if not set(terms.practitioner_ids) <= known.practitioners:
        wrong["practitioner_ids"] = "Name practitioners of this practice."
    bad = [code for code in terms.diagnoses if not ICD_10_CM.fullmatch(code)]
    if bad:
        wrong["diagnoses"] = f"No ICD-10-CM code: {', '.join(bad)}. One looks like M25.611."
    return wrong
