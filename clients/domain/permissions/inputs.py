"""The plain inputs of the permissions function: what is known of client, practitioner and law.

Everything is a frozen struct. What is None or empty is not known, and what is not
known is never hands-on.
"""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec

from clients.domain.health import HistoryContent, Order, Site
from clients.domain.terms import ConsentStatus, Limb, PreferenceScope, RedFlag
from practice.domain.terms import (
    Activity,
    Allowance,
    Credential,
    Gender,
    Region,
    Side,
    Technique,
)


class TouchConsent(msgspec.Struct, frozen=True, kw_only=True):
    """Touch consent as it stands. Its days count from ``given_on`` to ``until``, both included.

    With ``practitioners`` or ``gender`` it is for these only. ``language`` is the one
    it was explained in (BCP 47, "es").
    """

    status: ConsentStatus = ConsentStatus.NONE
    consent_id: UUID | None = None
    sites: tuple[Site, ...] = ()
    techniques: tuple[Technique, ...] = ()
    practitioners: tuple[UUID, ...] = ()
    gender: Gender | None = None
    given_on: date | None = None
    until: date | None = None
    language: str = ""
    support_person: bool = False
    interpreter: bool = False


class PreferenceException(msgspec.Struct, frozen=True, kw_only=True):
    """A practitioner whom she accepts against her preference: one session or until a day.

    The one session is named by its id, or, while it is not booked yet, by its day ``on``.
    """

    practitioner_id: UUID
    exception_id: UUID | None = None
    session_id: UUID | None = None
    on: date | None = None
    until: date | None = None


class ProviderPreference(msgspec.Struct, frozen=True, kw_only=True):
    """Whom she prefers: a gender or named people, for all work or hands-on work only."""

    scope: PreferenceScope
    gender: Gender | None = None
    practitioners: tuple[UUID, ...] = ()


class ClientFacts(msgspec.Struct, frozen=True, kw_only=True):
    """What the client's own record says, as the slice FACTS freezes it.

    ``reported`` is a history that no practitioner has reviewed yet: it only narrows.
    ``exceptions`` belong to the preference. ``record_version`` is the version of the
    client's stream that these facts were read at.
    """

    consent: TouchConsent = TouchConsent()
    preference: ProviderPreference | None = None
    exceptions: tuple[PreferenceException, ...] = ()
    reviewed: HistoryContent | None = None
    reported: tuple[HistoryContent, ...] = ()
    orders: tuple[Order, ...] = ()
    record_version: int = 0


class PainFreeHeight(msgspec.Struct, frozen=True, kw_only=True):
    """One shoulder today: whether it pinches, and to what height (degrees) it is pain-free."""

    side: Side
    pinches: bool
    degrees: float | None = None


class SwollenLimb(msgspec.Struct, frozen=True, kw_only=True):
    """A limb that swells: new today, or watched since its girths say refer."""

    limb: Limb
    side: Side


class Arrival(msgspec.Struct, frozen=True, kw_only=True):
    """The day's arrival answers; None is a question that was not answered.

    ``pain`` and ``fatigue`` 0-10; ``temperature`` in degrees Celsius. ``signs`` are the
    red flags that she reports (fever, new swelling and pain at rest follow from the
    other answers). ``companion_present`` and ``interpreter_present`` matter where the
    consent makes them a condition.
    """

    hands_on_today: bool | None = None
    pain: int | None = None
    fever: bool | None = None
    temperature: float | None = None
    swelling: tuple[SwollenLimb, ...] | None = None
    signs: tuple[RedFlag, ...] | None = None
    fatigue: int | None = None
    shoulders: tuple[PainFreeHeight, ...] = ()
    companion_present: bool | None = None
    interpreter_present: bool | None = None


class Stop(msgspec.Struct, frozen=True, kw_only=True):
    """The client said stop, at a minute of the session; given only for what comes after it.

    ``everything``: the session ends; else touch ends and she goes on by herself.
    """

    minute: int
    everything: bool = False


class Licence(msgspec.Struct, frozen=True, kw_only=True):
    """A licence for one credential in one jurisdiction (ISO 3166-2), both days included."""

    jurisdiction: str
    credential: Credential
    valid_from: date | None = None
    expires_on: date | None = None


class Competence(msgspec.Struct, frozen=True, kw_only=True):
    """A technique signed off after practice on colleagues."""

    technique: Technique
    signed_off_on: date


class PractitionerFacts(msgspec.Struct, frozen=True, kw_only=True):
    """Who would do the work. Gender None: not stated, so it meets no preference for one.

    ``works_here`` False: has left the practice.
    """

    practitioner_id: UUID
    credential: Credential
    gender: Gender | None = None
    licences: tuple[Licence, ...] = ()
    competences: tuple[Competence, ...] = ()
    works_here: bool = True


class LimitRow(msgspec.Struct, frozen=True, kw_only=True):
    """One row of the table of jurisdiction limits.

    ``pathology`` True or False: for clients with or without a pathology under
    treatment; None: for both. ``days_without_physician`` and
    ``visits_without_physician``: after whichever comes first a physician's dated
    signature is asked for.
    """

    id: UUID
    jurisdiction: str
    credential: Credential
    activity: Activity
    allowance: Allowance
    source: str
    pathology: bool | None = None
    effective_from: date | None = None
    effective_until: date | None = None
    verified_on: date | None = None
    days_without_physician: int | None = None
    visits_without_physician: int | None = None


class FacilityPolicy(msgspec.Struct, frozen=True, kw_only=True):
    """Where the work would be done, and what that facility does not have done by hand.

    ``techniques_supervised`` are done there only under a named supervisor.
    """

    facility_id: UUID
    jurisdiction: str
    hands_on: bool = True
    techniques_barred: tuple[Technique, ...] = ()
    techniques_supervised: tuple[Technique, ...] = ()
    regions_barred: tuple[Region, ...] = ()


class Supervision(msgspec.Struct, frozen=True, kw_only=True):
    """A named supervisor and whether she or he works at that facility that day."""

    supervisor: PractitionerFacts
    works_there_that_day: bool


class Treatment(msgspec.Struct, frozen=True, kw_only=True):
    """The run of treatment before this session, for limits without a physician."""

    first_visit_on: date | None = None
    visits_before: int = 0


class Facts(msgspec.Struct, frozen=True, kw_only=True):
    """Everything that one judgement is made from.

    ``day`` is the local day of the session at the facility. ``arrival`` None: the
    questions of the day are not answered yet. ``session_id`` finds exceptions for
    one session. ``watched_limbs`` are those whose girths say refer.
    ``settings_revision`` and ``catalogue_version`` are kept with the judgement.
    """

    client: ClientFacts
    practitioner: PractitionerFacts
    facility: FacilityPolicy
    day: date
    limits: tuple[LimitRow, ...] = ()
    watched_limbs: tuple[SwollenLimb, ...] = ()
    supervision: Supervision | None = None
    treatment: Treatment = Treatment()
    arrival: Arrival | None = None
    stop: Stop | None = None
    session_id: UUID | None = None
    settings_revision: int = 0
    catalogue_version: int = 0
