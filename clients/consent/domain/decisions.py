"""Touch consent given, declined, withdrawn, confirmed. What narrows is never refused."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

import msgspec

from clients.consent.domain.commands import ConfirmConsent, EndConsent, RecordConsent
from clients.consent.domain.events import (
    ConsentConfirmed,
    ConsentDeclined,
    ConsentDocumentation,
    ConsentRecorded,
    ConsentWithdrawn,
)
from clients.consent.domain.state import ConsentState
from clients.consent.domain.terms import ConsentMethod, ConsentSigner, ConsentStatus, GrantStatus
from clients.identity.domain import dates
from clients.identity.domain.events import ClientDetails
from clients.identity.domain.names import full_name
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.localtime import local_day
from practice.core.names import same_name
from practice.core.reasons import Rejected, invalid, not_found

LONGEST_YEARS = 5
"""A consent that would last longer is a slip of the pen: practice policy."""


class ConsentSettings(msgspec.Struct, frozen=True, kw_only=True):
    """What consent takes of the practice's settings for permissions: days that it lasts, and
    the age in years from which clients consent where no row of law says otherwise."""

    consent_days: int
    consent_age_years: int


def record_consent(
    command: RecordConsent,
    details: ClientDetails,
    *,
    days: int,
    ages: Sequence[int],
    ctx: Context,
) -> Decided:
    """A consent as it was given. Raises Rejected 400 for one that cannot be.

    ``days``: how long it lasts where no last day is named (a practice setting). ``ages``: the
    ages of medical consent, in years, at the places where the client is seen.
    """
    _complete(command, details)
    at = _given_at(command, details.zone, ctx)
    given_on = local_day(at, details.zone)
    field = "signed_on" if command.signed_on else "occurred_at"
    dates.check_within_lifetime(field, given_on, details.birth_date)
    last_day = _check_signer(command, details, given_on, ages)
    until = command.until or given_on + timedelta(days=days)
    dates.check_order("until", given_on, until)
    if until.year - given_on.year > LONGEST_YEARS:
        raise invalid("until", f"Give a last day within {LONGEST_YEARS} years.")
    event = ConsentRecorded(
        consent_id=ctx.new_id(),
        scope=command.scope,
        obtained=command.obtained,
        given_on=given_on,
        until=min(until, last_day) if last_day else until,
        until_by_setting=command.until is None,
    )
    return [DatedEvent(event, at)]


def decline_consent(state: ConsentState, command: EndConsent, ctx: Context) -> Decided:
    """The client was asked and said no; said again it changes nothing."""
    at = dates.occurrence_time(ctx, command.occurred_at)
    if state.ledger.says_already(ConsentStatus.DECLINED, command.scope, at):
        return []
    event = ConsentDeclined(consent_id=ctx.new_id(), reason=command.reason, scope=command.scope)
    return [DatedEvent(event, at)]


def withdraw_consent(state: ConsentState, command: EndConsent, ctx: Context) -> Decided:
    """The client withdraws, in every consent on record; said again it changes nothing."""
    at = dates.occurrence_time(ctx, command.occurred_at)
    if state.ledger.says_already(ConsentStatus.WITHDRAWN, command.scope, at):
        return []
    event = ConsentWithdrawn(
        consent_id=state.touch.consent_id, reason=command.reason, scope=command.scope
    )
    return [DatedEvent(event, at)]


def confirm_consent(state: ConsentState, command: ConfirmConsent, ctx: Context) -> Decided:
    """The client was asked: a suspended consent stands (ruling 46).

    Raises Rejected 404 for a consent that is not on record, 409 for one that waits for nothing.
    """
    grant = state.ledger.grant(command.consent_id)
    if grant is None:
        raise not_found("consent")
    if not state.ledger.can_be_confirmed(grant):
        raise Rejected("consent_not_suspended", _NOT_SUSPENDED[state.ledger.status_of(grant)])
    return [ConsentConfirmed(consent_id=grant.consent_id, reason=command.reason)]


_NOT_SUSPENDED = {
    GrantStatus.STANDS: "This consent stands; nothing of it is suspended.",
    GrantStatus.REPLACED: "A consent that was given later stands in its place.",
    GrantStatus.SUSPENDED: "This consent waits for nothing.",
    GrantStatus.ENDED: (
        "This consent was withdrawn or refused after it was given: record a new one."
    ),
}


def _given_at(command: RecordConsent, zone: str, ctx: Context) -> datetime:
    """When it was given; a paper bears the date of its signing."""
    signed = command.signed_on
    if command.obtained.form is ConsentMethod.PAPER and not signed and not command.occurred_at:
        raise invalid("signed_on", "A paper bears the date of its signing: give it.")
    at = dates.occurrence_time(ctx, command.occurred_at)
    if signed is None:
        return at
    today = local_day(ctx.now, zone)
    dates.check_not_future("signed_on", signed, today)
    if command.occurred_at is not None:
        if local_day(at, zone) != signed:
            raise invalid("signed_on", "This is another day than that of occurred_at.")
        return at
    return ctx.now if signed == today else dates.start_of_day(signed, zone, ctx.now)


def _check_signer(
    command: RecordConsent, details: ClientDetails, given_on: date, ages: Sequence[int]
) -> date | None:
    """Raises Rejected 400 where the signature grants nothing at any of the client's places.

    Gives the last day of a guardian's consent: the day before the last of the birthdays.
    """
    by_guardian = command.obtained.signer is ConsentSigner.GUARDIAN
    if details.birth_date is None:
        if by_guardian:
            raise invalid("signer", "Enter the client's birth date first: it ends the consent.")
        return None
    born = details.birth_date
    if by_guardian:
        last = dates.birthday(born, max(ages))
        if given_on >= last:
            text = f"The client is {max(ages)} or older on that day and consents for themself."
            raise invalid("signer", text)
        return last - timedelta(days=1)
    if given_on < dates.birthday(born, min(ages)) and not command.obtained.adult_proof:
        text = (
            f"Below the age of medical consent ({min(ages)}) the client's own signature alone "
            "grants nothing: a guardian consents, or name the proof that the client is "
            "emancipated or married (adult_proof)."
        )
        raise invalid("signer", text)
    return None


def _check_witness(obtained: ConsentDocumentation, details: ClientDetails) -> None:
    """Raises Rejected 400 for a witness who is a party to what they witness."""
    client = full_name(details.given_name, details.family_name)
    parties = (obtained.by, client, obtained.guardian_name)
    if any(same_name(obtained.witness, name) for name in parties):
        raise invalid(
            "witness",
            "Whoever gives or obtains the consent does not witness it: name another person.",
        )


def _complete(command: RecordConsent, details: ClientDetails) -> None:
    """Raises Rejected 400 where something is missing that makes it a consent."""
    obtained = command.obtained
    if not command.scope.sites:
        raise invalid("sites", "Name at least one region that may be touched.")
    if not command.scope.techniques:
        raise invalid("techniques", "Name at least one technique.")
    if command.scope.gender is not None and command.scope.practitioner_ids:
        raise invalid("practitioner_ids", "Limit it to a gender or to named people, not to both.")
    if obtained.form is ConsentMethod.SPOKEN_WITH_WITNESS and not obtained.witness:
        raise invalid("witness", "A spoken consent needs the name of a witness.")
    if obtained.form is ConsentMethod.SPOKEN_WITH_WITNESS:
        _check_witness(obtained, details)
    if obtained.form is ConsentMethod.TYPED_SIGNATURE and not obtained.typed_name:
        raise invalid("typed_name", "Give the name as it was typed.")
    if obtained.signer is ConsentSigner.GUARDIAN:
        if not obtained.guardian_name:
            raise invalid("guardian_name", "Name the guardian who consents.")
        if not obtained.guardian_relation:
            raise invalid("guardian_relation", "Say what makes them the guardian, e.g. parent.")
