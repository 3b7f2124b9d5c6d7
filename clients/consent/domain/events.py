"""Events of a client's touch consent."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.consent.domain.terms import ConsentMethod
from clients.health.domain.content import BodySite
from practice.core.events import Event, event
from practice.core.terms import Gender, Technique

# Touch consent


class ConsentScope(msgspec.Struct, frozen=True, kw_only=True):
    """What a touch consent is for, and what the client makes a condition of it."""

    sites: tuple[BodySite, ...]
    techniques: tuple[Technique, ...]
    practitioner_ids: tuple[UUID, ...] = ()
    gender: Gender | None = None
    support_person: bool = False
    interpreter: bool = False


class ConsentDocumentation(msgspec.Struct, frozen=True, kw_only=True):
    """How a consent was obtained: the form, who explained it, the witness or typed name.

    ``language`` is the one that was used (BCP 47).
    """

    form: ConsentMethod
    language: str
    by: str = ""
    witness: str = ""
    typed_name: str = ""


@event("consent.recorded")
class ConsentRecorded(Event, frozen=True, kw_only=True):
    """The client gave consent, from ``given_on`` to ``until``, both included."""

    consent_id: UUID
    scope: ConsentScope
    obtained: ConsentDocumentation
    given_on: date
    until: date
    until_by_setting: bool = False


@event("consent.declined")
class ConsentDeclined(Event, frozen=True, kw_only=True):
    """The client was asked and declined."""

    consent_id: UUID
    reason: str = ""


@event("consent.withdrawn")
class ConsentWithdrawn(Event, frozen=True, kw_only=True):
    """The client withdrew the consent."""

    consent_id: UUID | None
    reason: str = ""
