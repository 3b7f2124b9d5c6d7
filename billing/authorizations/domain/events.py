"""What billing leaves on a client's stream: authorizations, their use, overrides, disclosures."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import msgspec

from billing.authorizations.domain.terms import (
    CoverageStatus,
    Discipline,
    SharedTimeAnswer,
    UncoveredReason,
    UndecidedReason,
)
from billing.payers.domain.rates import total_of
from billing.payers.domain.rules import UnitRule, VisitDefinition
from practice.core.events import Event, event, upcaster
from practice.core.terms import Credential, SessionPart


class AuthorizedLine(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A service code that the payer authorized; ``units`` None = only the totals limit it."""

    code: str
    units: int | None = None


class AuthorizationTerms(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """What was authorized. None = not limited; no lines = every code; no practitioners = all.

    ``coverage_order`` is the order of the coverage it belongs to (1 = first payer). The period
    counts both days. ``diagnoses`` are ICD-10-CM codes.
    """

    number: str
    member_id: str
    starts_on: date
    ends_on: date
    visits: int | None = None
    units: int | None = None
    minutes: int | None = None
    lines: tuple[AuthorizedLine, ...] = ()
    practitioner_ids: tuple[UUID, ...] = ()
    diagnoses: tuple[str, ...] = ()
    coverage_order: int = 1


@event("authorization.recorded")
class AuthorizationRecorded(Event, frozen=True, kw_only=True):
    """A payer's authorization for this client was entered."""

    authorization_id: UUID
    payer_id: UUID
    terms: AuthorizationTerms


@event("authorization.amended")
class AuthorizationAmended(Event, frozen=True, kw_only=True):
    """The payer extended, reduced or corrected it; ``terms`` are the whole terms from now on."""

    authorization_id: UUID
    terms: AuthorizationTerms
    reason: str


@event("authorization.ended")
class AuthorizationEnded(Event, frozen=True, kw_only=True):
    """Nothing of it is used for days after ``ends_on``; what was used before stays used."""

    authorization_id: UUID
    ends_on: date
    reason: str


@event("authorization.reopened")
class AuthorizationReopened(Event, frozen=True, kw_only=True):
    """It had been ended early; it runs to the last day that was authorized again."""

    authorization_id: UUID
    reason: str


@event("authorization.voided")
class AuthorizationVoided(Event, frozen=True, kw_only=True):
    """It was entered in error and never was; what visits used of it goes back."""

    authorization_id: UUID
    reason: str


class TreatedMinutes(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Whole minutes of one part of the session."""

    part: SessionPart
    minutes: int


class SharedTime(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A stretch of the clock that a session shares with another one: of the same client,
    whoever worked, or of the same practitioner, whoever was there. ``same_class``: both are
    places of one class, and nobody is asked whose the time is."""

    session_id: UUID
    starts_at: datetime
    ends_at: datetime
    same_client: bool
    same_class: bool = False


class TreatedSession(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """One signed session of a visit, with the minutes of its note or of the latest addendum.

    It lasted from ``started_at`` to ``ended_at``. Of the minutes that it shares with other
    sessions (``shared``) so many count for it as a person said (``counted_shared_minutes``;
    None: nobody said yet); a new overlap asks anew. ``class_id``: it was a place in a class.
    ``awaits_co_signature``: nothing is drawn for it until the supervisor has co-signed its note.
    """

    session_id: UUID
    note_id: UUID
    facility_id: UUID
    practitioner_id: UUID
    credential: Credential
    minutes: tuple[TreatedMinutes, ...]
    signed_at: datetime
    signed_by: UUID
    started_at: datetime
    ended_at: datetime
    shared: tuple[SharedTime, ...] = ()
    shared_answer: SharedTimeAnswer | None = None
    counted_shared_minutes: int | None = None
    class_id: UUID | None = None
    awaits_co_signature: bool = False


class ExcludedMinutes(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Minutes that nobody pays, and why: they dropped out before the units were calculated, or
    the units they earned were not covered. ``part`` None: nobody knows of which part."""

    note_id: UUID
    part: SessionPart | None
    minutes: int
    code: str = ""
    uncovered_reason: UncoveredReason


class UndecidedUnits(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Units held back until a person says which code gets them; ``max_by_code``: most each."""

    units: int
    max_by_code: dict[str, int]
    undecided_reason: UndecidedReason


class UsageChange(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A change of what is used of an authorization; the sum of all entries is what is used.

    Negative numbers give back. ``reserved`` units, and the most minutes that they may use
    (``reserved_minutes``), wait for a person's choice.
    """

    authorization_id: UUID
    visits: int = 0
    units: int = 0
    reserved: int = 0
    minutes: int = 0
    reserved_minutes: int = 0
    by_code: dict[str, int] = msgspec.field(default_factory=dict)


class BillableUnits(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """What all of a day's minutes would earn by a payer's rule, were every one of them covered.

    ``units`` per code, ``undecided_units`` more whose code a person would choose, and the day's
    ``timed_minutes``. Without any authorization no payer is known, and nothing is calculated.
    """

    payer_id: UUID
    timed_minutes: int
    units: dict[str, int]
    undecided_units: int = 0


class ExpectedAmount(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """What a payer is expected to pay for the units used, by its rates of that day.

    ``codes_without_rate`` were used and have none: what they are worth is unknown.
    """

    currency: str
    by_code: dict[str, Decimal]
    codes_without_rate: tuple[str, ...] = ()

    @property
    def total(self) -> Decimal | None:
        """The whole amount; None where a code has no rate."""
        return total_of(self.by_code, self.codes_without_rate)


@event("visit.calculated", version=3)
class VisitCalculated(Event, frozen=True, kw_only=True):
    """A client's treatment day in one discipline was calculated, again with each signature.

    The whole result stands here and replaces the one before it under the same
    ``visit_id``. ``expected_units`` (per code, those of equal remainders once a person chose
    them) and ``expected_units_undecided`` (not chosen yet) follow from the minutes;
    ``used_units``, ``undecided`` and ``usage_changes`` are what the authorization gave,
    ``reserved_minutes`` what the undecided units may still use. ``billable_units``
    are those of all minutes, paid or not. ``expected_amount`` is for ``used_units`` alone; None:
    none are used.
    ``counts_as`` names what it used visits for: the day, or sessions. ``chosen_by_person``:
    the authorization was named by a person; ``units_chosen``: the code of units was.
    ``fully_covered_by`` are other authorizations that would cover all of a visit which its
    own covers only partly. ``parted_from``: sessions of other clients that shared time with one
    of it until a correction of its times or until that session was entered in error.
    ``given_back``: a person gave back what it used, and it is not covered again by itself. A visit
    without sessions is none any more: they were all entered in error. ``unit_rule``,
    ``visit_definition`` and ``payer_revision`` are the payer's settings for that day.
    """

    visit_id: UUID
    local_date: date
    discipline: Discipline
    sessions: tuple[TreatedSession, ...]
    authorization_id: UUID | None = None
    payer_id: UUID | None = None
    payer_revision: int = 0
    unit_rule: UnitRule | None = None
    visit_definition: VisitDefinition | None = None
    chosen_by_person: bool = False
    units_chosen: bool = False
    expected_units: dict[str, int] = msgspec.field(default_factory=dict)
    expected_units_undecided: int = 0
    timed_minutes: int = 0
    used_units: dict[str, int] = msgspec.field(default_factory=dict)
    used_minutes: int = 0
    reserved_minutes: int = 0
    undecided: UndecidedUnits | None = None
    counts_as: tuple[str, ...] = ()
    covered: CoverageStatus = CoverageStatus.NOT
    uncovered_reasons: tuple[UncoveredReason, ...] = ()
    excluded_minutes: tuple[ExcludedMinutes, ...] = ()
    usage_changes: tuple[UsageChange, ...] = ()
    billable_units: BillableUnits | None = None
    fully_covered_by: tuple[UUID, ...] = ()
    parted_from: tuple[UUID, ...] = ()
    given_back: bool = False
    expected_amount: ExpectedAmount | None = None


@upcaster("visit.calculated", from_version=1)
@upcaster("visit.calculated", from_version=2)
def _as_written(payload: dict[str, Any]) -> dict[str, Any]:
    """Version 1 knew no classes, version 2 no co-signatures."""
    return payload


@event("visit.overridden")
class VisitOverridden(Event, frozen=True, kw_only=True):
    """A person chose for a visit: the code of its open units, its authorization, whose the
    shared minutes of a session (``session_id``) are, or that it is calculated again by the
    payer's corrected rules (``payer_revision``). A later choice of units replaces the one
    before it.

    ``among`` is what there was to choose from, so that the choice holds only while
    the day's calculation asks the same question.
    """

    visit_id: UUID
    units: dict[str, int] = msgspec.field(default_factory=dict)
    among: UndecidedUnits | None = None
    authorization_id: UUID | None = None
    session_id: UUID | None = None
    shared_answer: SharedTimeAnswer | None = None
    counted_shared_minutes: int | None = None
    payer_revision: int | None = None
    reason: str = ""


@event("visit.given_back")
class VisitGivenBack(Event, frozen=True, kw_only=True):
    """A person gave back what a visit used of an authorization; the calculation follows."""

    visit_id: UUID
    authorization_id: UUID
    reason: str


@event("visit.covered_later")
class VisitCoveredLater(Event, frozen=True, kw_only=True):
    """A person had a visit use an authorization that had no room for it, or was not on record,
    when it was calculated before; the calculation follows."""

    visit_id: UUID
    authorization_id: UUID
    reason: str
