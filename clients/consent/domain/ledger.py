"""Every consent and every withdrawal on record, and what stands of them. Pure.

What narrows takes effect at its entry at the latest, whatever time it is said to have
happened, in every consent on record. A consent counts again only if it was recorded after
that entry and given after the withdrawal was said; one given in between is suspended until
the client was asked (ruling 46).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.consent.domain import events
from clients.consent.domain.events import (
    EVERYTHING,
    ConsentDocumentation,
    ConsentScope,
    NarrowedScope,
)
from clients.consent.domain.terms import ConsentSigner, ConsentStatus, GrantStatus
from clients.identity.domain.contact import Guardian
from practice.core.confirmation import ConfirmedWarning
from practice.core.events import RecordedEvent
from practice.core.names import same_name


class Entry(msgspec.Struct, frozen=True, kw_only=True):
    """When something was said and when it was entered; ``version`` counts the entries."""

    said_at: datetime
    recorded_at: datetime
    version: int
    recorded_by: UUID


class Grant(Entry, frozen=True, kw_only=True):
    """A consent as it was given; ``confirmed``: what looked like a slip and was confirmed.

    ``guardian_until``: the last day of the guardian who gave it, as it is on record since.
    """

    consent_id: UUID
    scope: ConsentScope
    obtained: ConsentDocumentation
    given_on: date
    until: date
    confirmed: tuple[ConfirmedWarning, ...] = ()
    guardian_until: date | None = None

    @property
    def last_day(self) -> date:
        """The last day that it counts: its own, or its guardian's where that is earlier."""
        return min(self.until, self.guardian_until or self.until)


class Narrowing(Entry, frozen=True, kw_only=True):
    """A withdrawal or refusal of everything, or of what its scope names."""

    status: ConsentStatus
    consent_id: UUID | None
    scope: NarrowedScope = EVERYTHING
    reason: str = ""

    @property
    def is_full(self) -> bool:
        """Whether it is of all touch, not of a part."""
        return self.scope == EVERYTHING


class Confirmation(msgspec.Struct, frozen=True, kw_only=True):
    """The client was asked: that consent stands."""

    consent_id: UUID
    version: int


def _given_after_said(grant: Grant, narrowing: Narrowing) -> bool:
    return (grant.said_at, grant.version) > (narrowing.said_at, narrowing.version)


class ConsentLedger(msgspec.Struct, frozen=True, kw_only=True):
    """The entries in the order in which they were recorded or read; their order decides nothing."""

    grants: tuple[Grant, ...] = ()
    narrowings: tuple[Narrowing, ...] = ()
    confirmations: tuple[Confirmation, ...] = ()

    def narrowings_of(self, grant: Grant) -> list[Narrowing]:
        """The withdrawals and refusals that hold against a consent, oldest entry first."""
        found = [one for one in self.narrowings if not self._outlives(grant, one)]
        return sorted(found, key=lambda one: one.version)

    def is_asked(self, grant: Grant, narrowing: Narrowing) -> bool:
        """Whether it was given in between: the client can be asked whether it stands."""
        return grant.version < narrowing.version and grant.said_at > narrowing.said_at

    def _outlives(self, grant: Grant, narrowing: Narrowing) -> bool:
        if not _given_after_said(grant, narrowing):
            return False
        return grant.version > narrowing.version or any(
            one.consent_id == grant.consent_id and one.version > narrowing.version
            for one in self.confirmations
        )

    @property
    def standing(self) -> Grant | None:
        """The consent given last of those that nothing ended or suspended."""
        counting = [
            grant
            for grant in self.grants
            if not any(one.is_full for one in self.narrowings_of(grant))
        ]
        return max(counting, key=lambda one: (one.said_at, one.version), default=None)

    def status_of(self, grant: Grant) -> GrantStatus:
        """What became of one consent."""
        full = [one for one in self.narrowings_of(grant) if one.is_full]
        if full:
            asked = all(self.is_asked(grant, one) for one in full)
            return GrantStatus.SUSPENDED if asked else GrantStatus.ENDED
        return GrantStatus.STANDS if grant == self.standing else GrantStatus.REPLACED

    def grant(self, consent_id: UUID) -> Grant | None:
        """One consent on record."""
        return next((one for one in self.grants if one.consent_id == consent_id), None)

    def can_be_confirmed(self, grant: Grant) -> bool:
        """Whether anything, all of it or a part, waits for the question if it stands."""
        held = self.narrowings_of(grant)
        ended = any(one.is_full and not self.is_asked(grant, one) for one in held)
        return not ended and any(self.is_asked(grant, one) for one in held)

    @property
    def status(self) -> ConsentStatus:
        """Where consent stands as a whole."""
        if self.standing is not None:
            return ConsentStatus.GRANTED
        if any(self.status_of(one) is GrantStatus.SUSPENDED for one in self.grants):
            return ConsentStatus.SUSPENDED
        last = self.last_full_narrowing
        return last.status if last else ConsentStatus.NONE

    @property
    def last_full_narrowing(self) -> Narrowing | None:
        """The withdrawal or refusal of everything that was entered last."""
        full = [one for one in self.narrowings if one.is_full]
        return max(full, key=lambda one: one.version, default=None)

    def says_already(self, status: ConsentStatus, scope: NarrowedScope, said_at: datetime) -> bool:
        """Whether the same was said as early already and nothing was consented to since."""
        return any(
            one.status is status
            and one.scope == scope
            and one.said_at <= said_at
            and all(
                grant.version < one.version and not _given_after_said(grant, one)
                for grant in self.grants
            )
            for one in self.narrowings
        )

    def suspended(self) -> Iterator[Grant]:
        """The consents that wait for the question."""
        return (one for one in self.grants if self.can_be_confirmed(one))


def _entry(meta: RecordedEvent) -> dict[str, Any]:
    # In UTC, so that every replay writes the same text into the row.
    return {
        "said_at": meta.occurred_at.astimezone(UTC),
        "recorded_at": meta.recorded_at.astimezone(UTC),
        "version": meta.version,
        "recorded_by": meta.actor,
    }


def with_grant(
    ledger: ConsentLedger, event: events.ConsentRecorded, meta: RecordedEvent
) -> ConsentLedger:
    """The ledger with one more consent."""
    grant = Grant(
        consent_id=event.consent_id,
        scope=event.scope,
        obtained=event.obtained,
        given_on=event.given_on,
        until=event.until,
        confirmed=event.confirmed,
        **_entry(meta),
    )
    return msgspec.structs.replace(ledger, grants=(*ledger.grants, grant))


def with_guardian(ledger: ConsentLedger, guardian: Guardian | None) -> ConsentLedger:
    """The ledger with the last day of a guardian in each consent that they gave.

    One who is not on record any more, or somebody else, says nothing of the days of another.
    """
    if guardian is None or not any(_gave(guardian, one) for one in ledger.grants):
        return ledger
    grants = (
        msgspec.structs.replace(one, guardian_until=guardian.until) if _gave(guardian, one) else one
        for one in ledger.grants
    )
    return msgspec.structs.replace(ledger, grants=tuple(grants))


def _gave(guardian: Guardian, grant: Grant) -> bool:
    by_guardian = grant.obtained.signer is ConsentSigner.GUARDIAN
    return by_guardian and same_name(grant.obtained.guardian_name, guardian.name)


def with_narrowing(
    ledger: ConsentLedger,
    event: events.ConsentDeclined | events.ConsentWithdrawn,
    meta: RecordedEvent,
) -> ConsentLedger:
    """The ledger with one more withdrawal or refusal."""
    declined = isinstance(event, events.ConsentDeclined)
    narrowing = Narrowing(
        status=ConsentStatus.DECLINED if declined else ConsentStatus.WITHDRAWN,
        consent_id=event.consent_id,
        scope=event.scope,
        reason=event.reason,
        **_entry(meta),
    )
    return msgspec.structs.replace(ledger, narrowings=(*ledger.narrowings, narrowing))


def with_confirmation(
    ledger: ConsentLedger, event: events.ConsentConfirmed, meta: RecordedEvent
) -> ConsentLedger:
    """The ledger with one more suspended consent that stands after all."""
    made = Confirmation(consent_id=event.consent_id, version=meta.version)
    return msgspec.structs.replace(ledger, confirmations=(*ledger.confirmations, made))
