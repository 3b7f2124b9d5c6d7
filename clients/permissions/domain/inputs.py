"""The plain inputs of the permissions function: what is known of client, practitioner and law.

Everything is a frozen struct. What is None or empty is not known, and what is not
known is never hands-on.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from uuid import UUID

import msgspec

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.terms import Limb, RedFlag
from practice.core.terms import (
    Activity,
    Allowance,
    Credential,
    Gender,
    Region,
    Side,
    SupervisionLevel,
    Technique,
)


class DayQuestion(StrEnum):
    """A question that only some clients are asked, by the name of its arrival answer."""

    NEEDLE_IN_PORT = "needle_in_port"
    SKIN_BROKEN = "skin_broken"


class PainFreeHeight(msgspec.Struct, frozen=True, kw_only=True):
    """One shoulder today: whether it pinches, and to what height (degrees) it is pain-free."""

    side: Side
    pinches: bool
    degrees: float | None = None


class SwollenLimb(msgspec.Struct, frozen=True, kw_only=True):
    """A limb that swells: new today, or watched since its girths say refer."""

    limb: Limb
    side: Side


class ArrivalAnswers(msgspec.Struct, frozen=True, kw_only=True):
    """The day's arrival answers; None is a question that was not answered.

    ``pain`` and ``fatigue`` 0-10; ``temperature`` in degrees Celsius. ``signs`` are the
    red flags that the client reports (fever, new swelling and pain at rest follow from the
    other answers). ``companion_present`` and ``interpreter_present`` matter where the
    consent makes them a condition, ``interpreter_language`` (BCP 47) is what they interpret.
    ``needle_in_port``: whether one is in a port today; ``skin_broken``: what irradiated skin
    looked like today. ``standing`` are signs raised before that nobody has cleared,
    ``cleared`` those in these very answers that were cleared since, and
    ``words_unreviewed`` whether free words wait for a review.
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
    interpreter_language: str = ""
    needle_in_port: bool | None = None
    skin_broken: bool | None = None
    standing: tuple[RedFlag, ...] = ()
    cleared: tuple[RedFlag, ...] = ()
    words_unreviewed: bool = False


class StopFacts(msgspec.Struct, frozen=True, kw_only=True):
    """The client said stop, at a minute of the session; given only for what comes after it.

    ``everything``: the session ends; else touch ends and the rest is self-directed.
    """

    minute: int
    everything: bool = False


class LicenceFacts(msgspec.Struct, frozen=True, kw_only=True):
    """A licence for one credential in one jurisdiction (ISO 3166-2), both days included."""

    jurisdiction: str
    credential: Credential
    valid_from: date | None = None
    expires_on: date | None = None
    id: UUID | None = None
    revision: int = 0


class CompetenceFacts(msgspec.Struct, frozen=True, kw_only=True):
    """A technique signed off after practice on colleagues."""

    technique: Technique
    signed_off_on: date
    id: UUID | None = None
    revision: int = 0


class PractitionerFacts(msgspec.Struct, frozen=True, kw_only=True):
    """Who would do the work. Gender None: not stated, so it meets no preference for one.

    ``works_here`` False: has left the practice.
    """

    practitioner_id: UUID
    credential: Credential
    gender: Gender | None = None
    licences: tuple[LicenceFacts, ...] = ()
    competences: tuple[CompetenceFacts, ...] = ()
    works_here: bool = True


class JurisdictionLimitFacts(msgspec.Struct, frozen=True, kw_only=True):
    """One row of the table of jurisdiction limits.

    ``pathology`` True or False: for clients with or without a pathology under
    treatment; None: for both. ``direct_access_days`` and ``direct_access_visits``: after
    whichever comes first a physician's dated signature is asked for. ``supervision``: how
    near the supervisor must be where one is asked for. ``payer_id``: only for clients whose
    payer that is; such a row narrows and never stands for the law.
    """

    id: UUID
    jurisdiction: str
    credential: Credential
    activity: Activity
    allowance: Allowance
    source: str
    pathology: bool | None = None
    effective_from: date | None = None
    effective_to: date | None = None
    verified_on: date | None = None
    direct_access_days: int | None = None
    direct_access_visits: int | None = None
    supervision: SupervisionLevel = SupervisionLevel.DIRECT
    payer_id: UUID | None = None
    revision: int = 0


class ConsentAgeFacts(msgspec.Struct, frozen=True, kw_only=True):
    """From which age in years the jurisdiction lets people consent alone, its source, and
    whether the practice has verified it."""

    years: int
    source: str
    verified: bool = True


class FacilityFacts(msgspec.Struct, frozen=True, kw_only=True):
    """Where the work would be done, and what that facility does not have done by hand.

    ``techniques_supervised`` are done there only under a named supervisor.
    """

    facility_id: UUID
    jurisdiction: str
    hands_on: bool = True
    techniques_barred: tuple[Technique, ...] = ()
    techniques_supervised: tuple[Technique, ...] = ()
    regions_barred: tuple[Region, ...] = ()


class PlaceBar(StrEnum):
    """Why no session can be held with that practitioner at that facility, by the code of the
    reason. Facts of the practice alone, which may be put back: they say nothing of the client."""

    FACILITY_CLOSED = "facility.closed"
    PRACTITIONER_LEFT = "practitioner.left"
    PRACTITIONER_ELSEWHERE = "practitioner.elsewhere"


PLACE_CODES = frozenset(bar.value for bar in PlaceBar)


class SupervisionFacts(msgspec.Struct, frozen=True, kw_only=True):
    """A named supervisor, and whether that person works at that facility that day.

    ``entitled``: the practice's table lets that credential supervise this one. ``co_signs``: by
    the practice's own rule that person co-signs the notes of the day; it permits nothing.
    """

    supervisor: PractitionerFacts
    works_there_that_day: bool
    entitled: bool
    co_signs: bool = False
    id: UUID | None = None
    revision: int = 0


class TreatmentFacts(msgspec.Struct, frozen=True, kw_only=True):
    """The run of treatment before this session, for limits without a physician."""

    first_visit_on: date | None = None
    visits_before: int = 0


class ProgrammeStretch(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch that the client is on: by which techniques, on which side."""

    stretch: str
    techniques: tuple[Technique, ...]
    side: Side


class PermissionFacts(msgspec.Struct, frozen=True, kw_only=True):
    """Everything that one judgement is made from.

    ``day`` is the local day of the session at the facility. ``arrival`` None: the
    questions of the day are not answered yet. ``session_id`` finds exceptions for
    one session. ``consent_age`` None: the practice has no row for the jurisdiction.
    ``watched_limbs`` are those whose girths say refer, ``growing_limbs`` those that grew
    since they were measured before.
    ``settings_revision`` and ``catalogue_version`` are kept with the judgement.
    ``payers``: who pays for the client that day. ``programme``: the stretches that the
    client is on; what the whole session is said to be speaks of these, and of the whole
    catalogue while there are none. ``place_bars`` speak of a session that is to be held only:
    one that took place is judged as it was.
    """

    client: ClientFacts
    practitioner: PractitionerFacts
    facility: FacilityFacts
    day: date
    limits: tuple[JurisdictionLimitFacts, ...] = ()
    watched_limbs: tuple[SwollenLimb, ...] = ()
    growing_limbs: tuple[SwollenLimb, ...] = ()
    supervision: SupervisionFacts | None = None
    treatment: TreatmentFacts = TreatmentFacts()
    arrival: ArrivalAnswers | None = None
    stop: StopFacts | None = None
    consent_age: ConsentAgeFacts | None = None
    session_id: UUID | None = None
    settings_revision: int = 0
    catalogue_version: int = 0
    payers: tuple[UUID, ...] = ()
    programme: tuple[ProgrammeStretch, ...] = ()
    place_bars: tuple[PlaceBar, ...] = ()
