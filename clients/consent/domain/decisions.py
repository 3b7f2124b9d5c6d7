"""Touch consent given, declined, withdrawn. What narrows is never refused."""

from __future__ import annotations

from datetime import timedelta

import msgspec

from clients.consent.domain.commands import EndConsent, RecordConsent
from clients.consent.domain.events import ConsentDeclined, ConsentRecorded, ConsentWithdrawn
from clients.consent.domain.state import ConsentState
from clients.consent.domain.terms import ConsentMethod, ConsentStatus
from clients.identity.domain import dates
from clients.identity.domain.events import ClientDetails
from practice.core.decisions import Context, Decided
from practice.core.events import DatedEvent
from practice.core.localtime import local_day
from practice.core.reasons import invalid

LONGEST_YEARS = 5
"""A consent that would last longer is a slip of the pen: practice policy."""


class ConsentSettings(msgspec.Struct, frozen=True, kw_only=True):
    """What consent takes of the practice's settings for permissions: days that it lasts."""

    consent_days: int


def record_consent(
    command: RecordConsent, details: ClientDetails, *, days: int, ctx: Context
) -> Decided:
    """A consent as the client gave it. Raises Rejected 400 for one that cannot be.

    ``days``: how long it lasts where the client names no last day (a practice setting).
    """
    _complete(command)
    at = dates.occurrence_time(ctx, command.occurred_at)
    given_on = local_day(at, details.zone)
    dates.check_within_lifetime("occurred_at", given_on, details.birth_date)
    until = command.until or given_on + timedelta(days=days)
    dates.check_order("until", given_on, until)
    if until.year - given_on.year > LONGEST_YEARS:
        raise invalid("until", f"Give a last day within {LONGEST_YEARS} years.")
    event = ConsentRecorded(
        consent_id=ctx.new_id(),
        scope=command.scope,
        obtained=command.obtained,
        given_on=given_on,
        until=until,
        until_by_setting=command.until is None,
    )
    return [DatedEvent(event, at)]


def decline_consent(state: ConsentState, command: EndConsent, ctx: Context) -> Decided:
    """The client was asked and said no; said again it changes nothing."""
    if state.touch.status is ConsentStatus.DECLINED:
        return []
    at = dates.occurrence_time(ctx, command.occurred_at)
    return [DatedEvent(ConsentDeclined(consent_id=ctx.new_id(), reason=command.reason), at)]


def withdraw_consent(state: ConsentState, command: EndConsent, ctx: Context) -> Decided:
    """The client withdraws; where nothing is left to withdraw it changes nothing."""
    if state.touch.status in (ConsentStatus.WITHDRAWN, ConsentStatus.DECLINED):
        return []
    at = dates.occurrence_time(ctx, command.occurred_at)
    event = ConsentWithdrawn(consent_id=state.touch.consent_id, reason=command.reason)
    return [DatedEvent(event, at)]


def _complete(command: RecordConsent) -> None:
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
    if obtained.form is ConsentMethod.TYPED_SIGNATURE and not obtained.typed_name:
        raise invalid("typed_name", "Give the name as the client typed it.")
