"""What happens to a client's touch consent: given, declined, withdrawn, confirmed."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.consent.domain.terms import ConsentMethod, ConsentSigner
from clients.health.domain.content import BodySite
from practice.core.confirmation import ConfirmedWarning
from practice.core.events import Event, event
from practice.core.terms import Gender, Technique


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

    ``language`` is the one that was used (BCP 47). ``adult_proof``: the paper seen that shows
    a client below the age of consent to be emancipated or married. ``interpreter_name``: who
    interpreted; they were asked and are of age.
    """

    form: ConsentMethod
    language: str
    by: str = ""
    witness: str = ""
    typed_name: str = ""
    signer: ConsentSigner = ConsentSigner.CLIENT
    guardian_name: str = ""
    guardian_relation: str = ""
    adult_proof: str = ""
    interpreter_name: str = ""


class NarrowedScope(msgspec.Struct, frozen=True, kw_only=True):
    """What a withdrawal or refusal is about. What is empty is not limited: all empty is everything.

    Limits narrow together: an arm and passive is passive stretching of that arm.
    """

    sites: tuple[BodySite, ...] = ()
    techniques: tuple[Technique, ...] = ()
    practitioner_ids: tuple[UUID, ...] = ()


EVERYTHING = NarrowedScope()


@event("consent.recorded")
class ConsentRecorded(Event, frozen=True, kw_only=True):
    """Consent was given, from ``given_on`` to ``until``, both included."""

    consent_id: UUID
    scope: ConsentScope
    obtained: ConsentDocumentation
    given_on: date
    until: date
    until_by_setting: bool = False
    confirmed: tuple[ConfirmedWarning, ...] = ()


@event("consent.declined")
class ConsentDeclined(Event, frozen=True, kw_only=True):
    """The client was asked and declined."""

    consent_id: UUID
    reason: str = ""
    scope: NarrowedScope = EVERYTHING


@event("consent.withdrawn")
class ConsentWithdrawn(Event, frozen=True, kw_only=True):
    """The client withdrew consent, in every consent on record."""

    consent_id: UUID | None
    reason: str = ""
    scope: NarrowedScope = EVERYTHING


@event("consent.confirmed")
class ConsentConfirmed(Event, frozen=True, kw_only=True):
    """The client was asked about a suspended consent: it stands."""

    consent_id: UUID
    reason: str = ""
