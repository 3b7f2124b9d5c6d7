"""The consent slice: the touch consent that stands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from uuid import UUID

import msgspec

from clients.consent.domain import events
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.content import BodySite
from clients.identity.domain.latest import Latest
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.terms import Gender, Technique


class ConsentFacts(msgspec.Struct, frozen=True, kw_only=True):
    """Touch consent as it stands. Its days count from ``given_on`` to ``until``, both included.

    With ``practitioner_ids`` or ``gender`` it is for these only. ``language`` is the one
    it was explained in (BCP 47, "es").
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


@dataclass(frozen=True, slots=True)
class ConsentState:
    """``version``: of the client's stream, at the latest event folded here; 0 without one."""

    touch: ConsentFacts
    version: int


class _Builder:
    def __init__(self) -> None:
        self.touch = Latest(ConsentFacts())
        self.version = 0


CONSENT: Slice[_Builder, ConsentState] = Slice(
    "consent",
    initial=_Builder,
    freeze=lambda builder: ConsentState(builder.touch.value, builder.version),
    watches=(events,),
)


@CONSENT.on(events.ConsentRecorded)
def recorded(builder: _Builder, event: events.ConsentRecorded, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    scope = event.scope
    granted = ConsentFacts(
        status=ConsentStatus.GRANTED,
        consent_id=event.consent_id,
        sites=scope.sites,
        techniques=scope.techniques,
        practitioner_ids=scope.practitioner_ids,
        gender=scope.gender,
        given_on=event.given_on,
        until=event.until,
        language=event.obtained.language,
        support_person=scope.support_person,
        interpreter=scope.interpreter,
    )
    builder.touch.offer(granted, meta)


@CONSENT.on(events.ConsentDeclined)
def declined(builder: _Builder, event: events.ConsentDeclined, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    facts = ConsentFacts(status=ConsentStatus.DECLINED, consent_id=event.consent_id)
    builder.touch.offer(facts, meta)


@CONSENT.on(events.ConsentWithdrawn)
def withdrawn(builder: _Builder, event: events.ConsentWithdrawn, meta: RecordedEvent) -> None:
    builder.version = max(builder.version, meta.version)
    facts = ConsentFacts(status=ConsentStatus.WITHDRAWN, consent_id=event.consent_id)
    builder.touch.offer(facts, meta)
