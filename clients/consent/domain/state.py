"""The consent slice: every consent and withdrawal on record, and the consent that stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import msgspec

from clients.consent.domain import events
from clients.consent.domain import ledger as entries
from clients.consent.domain.events import NarrowedScope
from clients.consent.domain.ledger import ConsentLedger
from clients.consent.domain.terms import ConsentSigner, ConsentStatus
from clients.health.domain.content import BodySite
from clients.identity.domain import events as identity_events
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.terms import Gender, Technique


class ConsentFacts(msgspec.Struct, frozen=True, kw_only=True):
    """Touch consent as it stands. Its days count from ``given_on`` to ``until``, both included.

    With ``practitioner_ids`` or ``gender`` it is for these only. ``language`` is the one
    it was explained in (BCP 47, "es"). ``narrowed``: what was withdrawn or refused of it
    since. ``adult_proof``: a paper was seen that shows the client to be emancipated or married.
    """

    status: ConsentStatus = ConsentStatus.NONE
    consent_id: UUID | None = None
    sites: tuple[BodySite, ...] = ()
    techniques: tuple[Technique, ...] = ()
    practitioner_ids: tuple[UUID, ...] = ()
    gender: Gender | None = None
    given_on: date | None = None
    until: date | None = None
    language: str = ""
    support_person: bool = False
    interpreter: bool = False
    narrowed: tuple[NarrowedScope, ...] = ()
    signer: ConsentSigner = ConsentSigner.CLIENT
    adult_proof: bool = False
    interpreter_name: str = ""


@dataclass(frozen=True, slots=True)
class ConsentState:
    """``version``: of the client's stream, at the latest event folded here; 0 without one."""

    touch: ConsentFacts
    ledger: ConsentLedger
    version: int


class _Builder:
    def __init__(self) -> None:
        self.ledger = ConsentLedger()
        self.version = 0


def consent_facts(ledger: ConsentLedger) -> ConsentFacts:
    """The consent that stands, or why none does."""
    grant = ledger.standing
    if grant is None:
        last = ledger.last_full_narrowing
        return ConsentFacts(status=ledger.status, consent_id=last.consent_id if last else None)
    scope, obtained = grant.scope, grant.obtained
    return ConsentFacts(
        status=ConsentStatus.GRANTED,
        consent_id=grant.consent_id,
        sites=scope.sites,
        techniques=scope.techniques,
        practitioner_ids=scope.practitioner_ids,
        gender=scope.gender,
        given_on=grant.given_on,
        until=grant.last_day,
        language=obtained.language,
        support_person=scope.support_person,
        interpreter=scope.interpreter,
        narrowed=tuple(one.scope for one in ledger.narrowings_of(grant)),
        signer=obtained.signer,
        adult_proof=bool(obtained.adult_proof),
        interpreter_name=obtained.interpreter_name,
    )


CONSENT: Slice[_Builder, ConsentState] = Slice(
    "consent",
    initial=_Builder,
    freeze=lambda builder: ConsentState(
        consent_facts(builder.ledger), builder.ledger, builder.version
    ),
    watches=(events, identity_events),
    ignores=(identity_events.ClientRegistered,),
)


@CONSENT.on(events.ConsentRecorded)
def recorded(builder: _Builder, event: events.ConsentRecorded, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    builder.ledger = entries.with_grant(builder.ledger, event, meta)


@CONSENT.on(events.ConsentDeclined, events.ConsentWithdrawn)
def narrowed(
    builder: _Builder,
    event: events.ConsentDeclined | events.ConsentWithdrawn,
    meta: RecordedEvent,
) -> None:
    builder.version = max(builder.version, meta.version)
    builder.ledger = entries.with_narrowing(builder.ledger, event, meta)


@CONSENT.on(events.ConsentConfirmed)
def confirmed(builder: _Builder, event: events.ConsentConfirmed, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    builder.ledger = entries.with_confirmation(builder.ledger, event, meta)


@CONSENT.on(identity_events.ClientDetailsChanged)
def guardian_changed(
    builder: _Builder, event: identity_events.ClientDetailsChanged, meta: RecordedEvent
) -> None:
    ledger = entries.with_guardian(builder.ledger, event.details.guardian)
    if ledger != builder.ledger:
        builder.version = max(builder.version, meta.version)
        builder.ledger = ledger
