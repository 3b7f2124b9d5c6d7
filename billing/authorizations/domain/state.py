"""The balance slice: a client's authorizations, what was used of each, and the visits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from types import MappingProxyType
from uuid import UUID

from billing.authorizations.domain import events
from billing.authorizations.domain.terms import Discipline
from practice.core.decisions import Slice
from practice.core.events import RecordedEvent
from practice.core.reasons import Rejected, existing

LONG_AGO = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class AuthorizationState:
    """One authorization as it stands; ``ended_on`` is its last day where it was ended early."""

    id: UUID
    payer_id: UUID
    terms: events.AuthorizationTerms
    ended_on: date | None = None

    @property
    def last_day(self) -> date:
        """The last day it covers."""
        return min(self.terms.ends_on, self.ended_on or self.terms.ends_on)

    def covers_day(self, day: date) -> bool:
        """Whether a day lies in its period; both ends count."""
        return self.terms.starts_on <= day <= self.last_day

    @property
    def rank(self) -> tuple[int, date, str, UUID]:
        """Which one a visit uses first: order of coverage, earliest end, number."""
        return (self.terms.coverage_order, self.last_day, self.terms.number, self.id)


@dataclass(frozen=True, slots=True)
class UsedAmounts:
    """What was used from an authorization; ``reserved`` units and minutes wait for a choice."""

    visits: int = 0
    units: int = 0
    reserved: int = 0
    minutes: int = 0
    reserved_minutes: int = 0

    def changed_by(self, change: events.UsageChange) -> UsedAmounts:
        """The amounts after one change."""
        return UsedAmounts(
            visits=self.visits + change.visits,
            units=self.units + change.units,
            reserved=self.reserved + change.reserved,
            minutes=self.minutes + change.minutes,
            reserved_minutes=self.reserved_minutes + change.reserved_minutes,
        )


@dataclass(frozen=True, slots=True)
class VisitState:
    """A treatment day in one discipline as last calculated, and the choice made for its units."""

    last: events.VisitCalculated
    override: events.VisitOverridden | None = None

    @property
    def order(self) -> tuple[date, datetime, UUID]:
        """In which order visits are looked at: by day, then by the first signature of the day."""
        signed = [one.signed_at for one in self.last.sessions]
        return self.last.local_date, min(signed, default=LONG_AGO), self.last.visit_id

    def uses_units_of(self, authorization_id: UUID) -> bool:
        """Whether it holds units of that authorization, reserved ones included."""
        committed = bool(self.last.used_units or self.last.undecided)
        return committed and self.last.authorization_id == authorization_id


@dataclass(frozen=True, slots=True)
class AuthorizationBalance:
    """Everything that decides what the next signature uses; ``voided`` ones decide nothing."""

    authorizations: Mapping[UUID, AuthorizationState]
    used: Mapping[UUID, UsedAmounts]
    visits: Mapping[UUID, VisitState]
    by_day: Mapping[tuple[date, Discipline], UUID]
    by_note: Mapping[UUID, UUID]
    voided: frozenset[UUID] = frozenset()

    def authorization(self, authorization_id: UUID) -> AuthorizationState:
        """One authorization; Rejected 404 where the client has none with that id, 409 where
        it was voided."""
        if authorization_id in self.voided:
            raise Rejected(
                "authorization_voided",
                "This authorization was entered in error and is void. Record the right one.",
            )
        return existing(self.authorizations.get(authorization_id), "authorization")

    def visit(self, visit_id: UUID) -> VisitState:
        """One visit; Rejected 404 where the client has none with that id."""
        return existing(self.visits.get(visit_id), "visit")

    def without(self, authorization_id: UUID) -> AuthorizationBalance:
        """The balance once an authorization is voided; what visits used of it still stands."""
        left = {key: one for key, one in self.authorizations.items() if key != authorization_id}
        return replace(
            self,
            authorizations=MappingProxyType(left),
            voided=self.voided | {authorization_id},
        )

    def session_of_note(self, note_id: UUID) -> events.TreatedSession | None:
        """The session of a signed note as its visit knows it."""
        visit_id = self.by_note.get(note_id)
        sessions = self.visits[visit_id].last.sessions if visit_id is not None else ()
        return next((one for one in sessions if one.note_id == note_id), None)

    def counted(self, authorization_id: UUID, *, without: UUID | None = None) -> frozenset[str]:
        """The days (or sessions) that have used a visit of an authorization."""
        return frozenset(
            key
            for visit_id, visit in self.visits.items()
            if visit_id != without and visit.last.authorization_id == authorization_id
            for key in visit.last.counts_as
        )

    def used_of_line(self, authorization_id: UUID, code: str) -> int:
        """Units of one code used from an authorization."""
        return sum(
            visit.last.used_units.get(code, 0)
            for visit in self.visits.values()
            if visit.last.authorization_id == authorization_id
        )

    def committed_of_line(self, authorization_id: UUID, code: str, *, without: UUID | None) -> int:
        """Units of one code that other visits hold, the most they may still choose included."""
        return sum(
            visit.last.used_units.get(code, 0)
            + (visit.last.undecided.max_by_code.get(code, 0) if visit.last.undecided else 0)
            for visit_id, visit in self.visits.items()
            if visit_id != without and visit.last.authorization_id == authorization_id
        )

    def after(self, calculated: events.VisitCalculated) -> AuthorizationBalance:
        """The balance once a visit is calculated: what the next one is calculated from."""
        used = dict(self.used)
        for change in calculated.usage_changes:
            before = used.get(change.authorization_id, UsedAmounts())
            used[change.authorization_id] = before.changed_by(change)
        earlier = self.visits.get(calculated.visit_id)
        visit = VisitState(calculated, earlier.override if earlier else None)
        return replace(
            self,
            used=MappingProxyType(used),
            visits=MappingProxyType({**self.visits, calculated.visit_id: visit}),
        )


@dataclass
class AuthorizationBalanceBuilder:
    """What the fold collects."""

    authorizations: dict[UUID, AuthorizationState] = field(default_factory=dict)
    used: defaultdict[UUID, UsedAmounts] = field(default_factory=lambda: defaultdict(UsedAmounts))
    visits: dict[UUID, VisitState] = field(default_factory=dict)
    by_day: dict[tuple[date, Discipline], UUID] = field(default_factory=dict)
    by_note: dict[UUID, UUID] = field(default_factory=dict)
    voided: set[UUID] = field(default_factory=set)


def _freeze(builder: AuthorizationBalanceBuilder) -> AuthorizationBalance:
    return AuthorizationBalance(
        authorizations=MappingProxyType(dict(builder.authorizations)),
        used=MappingProxyType(dict(builder.used)),
        visits=MappingProxyType(dict(builder.visits)),
        by_day=MappingProxyType(dict(builder.by_day)),
        by_note=MappingProxyType(dict(builder.by_note)),
        voided=frozenset(builder.voided),
    )


AUTHORIZATION_BALANCE: Slice[AuthorizationBalanceBuilder, AuthorizationBalance] = Slice(
    "authorization_balance",
    initial=AuthorizationBalanceBuilder,
    freeze=_freeze,
    watches=(events,),
    ignores=(events.VisitGivenBack, events.VisitCoveredLater),
)


@AUTHORIZATION_BALANCE.on(events.AuthorizationRecorded)
def recorded(
    builder: AuthorizationBalanceBuilder, event: events.AuthorizationRecorded, meta: RecordedEvent
) -> None:
    builder.authorizations[event.authorization_id] = AuthorizationState(
        event.authorization_id, event.payer_id, event.terms
    )


@AUTHORIZATION_BALANCE.on(events.AuthorizationAmended)
def amended(
    builder: AuthorizationBalanceBuilder, event: events.AuthorizationAmended, meta: RecordedEvent
) -> None:
    if (one := builder.authorizations.get(event.authorization_id)) is not None:
        builder.authorizations[one.id] = replace(one, terms=event.terms)


@AUTHORIZATION_BALANCE.on(events.AuthorizationEnded)
def ended(
    builder: AuthorizationBalanceBuilder, event: events.AuthorizationEnded, meta: RecordedEvent
) -> None:
    if (one := builder.authorizations.get(event.authorization_id)) is not None:
        builder.authorizations[one.id] = replace(one, ended_on=event.ends_on)


@AUTHORIZATION_BALANCE.on(events.AuthorizationReopened)
def reopened(
    builder: AuthorizationBalanceBuilder, event: events.AuthorizationReopened, meta: RecordedEvent
) -> None:
    if (one := builder.authorizations.get(event.authorization_id)) is not None:
        builder.authorizations[one.id] = replace(one, ended_on=None)


@AUTHORIZATION_BALANCE.on(events.AuthorizationVoided)
def voided(
    builder: AuthorizationBalanceBuilder, event: events.AuthorizationVoided, meta: RecordedEvent
) -> None:
    builder.authorizations.pop(event.authorization_id, None)
    builder.voided.add(event.authorization_id)


@AUTHORIZATION_BALANCE.on(events.VisitCalculated)
def visit_calculated(
    builder: AuthorizationBalanceBuilder, event: events.VisitCalculated, meta: RecordedEvent
) -> None:
    earlier = builder.visits.get(event.visit_id)
    builder.visits[event.visit_id] = VisitState(event, earlier.override if earlier else None)
    builder.by_day[event.local_date, event.discipline] = event.visit_id
    for session in event.sessions:
        builder.by_note[session.note_id] = event.visit_id
    for entry in event.usage_changes:
        used = builder.used[entry.authorization_id]
        builder.used[entry.authorization_id] = used.changed_by(entry)


@AUTHORIZATION_BALANCE.on(events.VisitOverridden)
def visit_overridden(
    builder: AuthorizationBalanceBuilder, event: events.VisitOverridden, meta: RecordedEvent
) -> None:
    visit = builder.visits.get(event.visit_id)
    if event.units and visit is not None:
        builder.visits[event.visit_id] = replace(visit, override=event)
