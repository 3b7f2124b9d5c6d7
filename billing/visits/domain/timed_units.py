"""What a day's signed sessions earn by a payer's rules, before anything is used. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from billing.authorizations.domain.eligibility import Eligibility
from billing.authorizations.domain.events import (
    BillableUnits,
    ExcludedMinutes,
    TreatedSession,
)
from billing.authorizations.domain.terms import SharedTimeAnswer, UncoveredReason
from billing.payers.domain.rules import PayerRules, VisitDefinition
from billing.units.domain.units import ExpectedUnits, LostMinutes, units_of_uncertain
from billing.visits.domain.shared_time import (
    UncountedMinutes,
    in_a_group,
    shared_minutes,
    uncounted_minutes,
)
from practice.core.terms import SessionPart


@dataclass(frozen=True, slots=True)
class CountedMinutes:
    """Minutes of one part of a session that count, under their service code."""

    session_id: UUID
    note_id: UUID
    part: SessionPart
    code: str
    minutes: int
    timed: bool


@dataclass(frozen=True, slots=True)
class EarnedUnits:
    """The need of a day, the minutes that dropped out, and those that would count but for the
    minutes of their session that are ``uncounted``."""

    expected_units: ExpectedUnits
    excluded_minutes: tuple[ExcludedMinutes, ...]
    counted: tuple[CountedMinutes, ...]
    uncounted: dict[UUID, int]
    untimed: int
    definition: VisitDefinition

    @property
    def counting(self) -> tuple[UUID, ...]:
        """The sessions that count."""
        return tuple(dict.fromkeys(one.session_id for one in self.counted))

    def minutes_of(self, code: str) -> int:
        """Minutes that count for one timed code."""
        return sum(one.minutes for one in self.counted if one.code == code and one.timed)


def calculate_earned_units(
    sessions: Sequence[TreatedSession],
    eligible: Eligibility,
    only: Collection[UUID] | None = None,
    otherwise: UncoveredReason = UncoveredReason.NO_VISITS_LEFT,
) -> EarnedUnits:
    """Calculate the units of one client, day and discipline.

    Minutes that do not count drop out first, all those of a note that awaits its co-signature
    among them, then those beyond the clock and those that are shared.
    A place in a class earns one untimed unit of the group's code and no timed minutes (rulings 57).
    ``only`` limits it to some sessions (those that a visit is left for); the others
    drop out with the reason ``otherwise``.
    The order of the sessions makes no difference to the need.
    """
    excluded: list[ExcludedMinutes] = []
    given: list[CountedMinutes] = []
    for session in sessions:
        for one in session.minutes:
            if not one.minutes:
                continue
            code, reason = eligible.uncovered_reason(session, one.part)
            if session.awaits_co_signature:
                reason = UncoveredReason.AWAITING_CO_SIGNATURE
            if reason is None and session.class_id is not None and not in_a_group(session):
                reason = UncoveredReason.NO_GROUP
            if reason is None and only is not None and session.session_id not in only:
                reason = otherwise
            if reason is not None:
                excluded.append(_excluded(session, one.part, one.minutes, code, reason))
                continue
            timed = code not in eligible.rules.untimed
            given.append(
                CountedMinutes(
                    session.session_id, session.note_id, one.part, code, one.minutes, timed
                )
            )
    uncounted = _uncounted(sessions, given)
    counted = [one for one in given if not _all_uncounted(one, uncounted)]
    excluded += _of_untimed(given, counted)
    groups = {
        one.session_id: eligible.uncovered_group_reason(one)
        for one in sessions
        if one.session_id in uncounted and one.shared_answer is SharedTimeAnswer.GROUP
    }
    excluded += _of_lost(sessions, counted, uncounted, groups)
    counted += _in_groups(sessions, eligible.rules.group_code, groups)
    untimed = {one.code for one in counted if not one.timed}
    return EarnedUnits(
        units_of_uncertain(
            eligible.rules.unit_rule, _timed(counted), untimed, _lost(counted, uncounted)
        ),
        tuple(excluded),
        tuple(counted),
        {one: lost.beyond_clock + lost.shared for one, lost in uncounted.items()},
        len(untimed),
        eligible.rules.visit_definition,
    )


def billable_units_of(sessions: Sequence[TreatedSession], rules: PayerRules) -> BillableUnits:
    """What all minutes of a day would earn by a payer's rule, whoever gave them.

    A part that the payer has no code for under this credential takes the code that it has
    under paid credentials, where that is one. Shared minutes count for nobody until a person
    says whose they are.
    """
    given = [
        CountedMinutes(
            session.session_id,
            session.note_id,
            one.part,
            code,
            one.minutes,
            code not in rules.untimed,
        )
        for session in sessions
        for one in session.minutes
        if (code := _would_be(rules, one.part, session))
    ]
    uncounted = _uncounted(sessions, given)
    counted = [one for one in given if not _all_uncounted(one, uncounted)]
    untimed = {one.code for one in counted if not one.timed}
    expected_units = units_of_uncertain(
        rules.unit_rule, _timed(counted), untimed, _lost(counted, uncounted)
    )
    return BillableUnits(
        payer_id=rules.payer_id,
        timed_minutes=expected_units.timed_minutes,
        units=dict(expected_units.sure),
        undecided_units=expected_units.undecided_units,
    )


Uncounted = dict[UUID, UncountedMinutes]


def _timed(counted: Sequence[CountedMinutes]) -> Counter[str]:
    timed: Counter[str] = Counter()
    for one in counted:
        if one.timed:
            timed[one.code] += one.minutes
    return timed


def _uncounted(sessions: Sequence[TreatedSession], given: Sequence[CountedMinutes]) -> Uncounted:
    timed: Counter[UUID] = Counter()
    untimed: Counter[UUID] = Counter()
    for one in given:
        (timed if one.timed else untimed)[one.session_id] += one.minutes
    return uncounted_minutes(sessions, timed, untimed)


def _all_uncounted(one: CountedMinutes, uncounted: Uncounted) -> bool:
    """Whether an untimed service may lie wholly in minutes that do not count."""
    return not one.timed and one.minutes <= uncounted[one.session_id].most


def _lost(counted: Sequence[CountedMinutes], uncounted: Uncounted) -> LostMinutes:
    most: Counter[str] = Counter()
    for one in counted:
        if one.timed and one.session_id in uncounted:
            most[one.code] += min(one.minutes, uncounted[one.session_id].most)
    return LostMinutes(sum(one.beyond_clock + one.shared for one in uncounted.values()), most)


def _of_untimed(
    given: Sequence[CountedMinutes], counted: Sequence[CountedMinutes]
) -> Iterator[ExcludedMinutes]:
    for one in given:
        if one not in counted:
            yield ExcludedMinutes(
                note_id=one.note_id,
                part=one.part,
                minutes=one.minutes,
                code=one.code,
                uncovered_reason=UncoveredReason.OVERLAPPING_TIME,
            )


def _of_lost(
    sessions: Sequence[TreatedSession],
    counted: Sequence[CountedMinutes],
    uncounted: Uncounted,
    groups: dict[UUID, UncoveredReason | None],
) -> Iterator[ExcludedMinutes]:
    """The minutes of each session that do not count; the part where it can be only one."""
    for session in sessions:
        lost = uncounted.get(session.session_id)
        if lost is None:
            continue
        own = [one for one in counted if one.timed and one.session_id == session.session_id]
        part, code = (own[0].part, own[0].code) if len(own) == 1 else (None, "")
        if lost.beyond_clock:
            reason = UncoveredReason.BEYOND_CLOCK
            yield _excluded(session, part, lost.beyond_clock, code, reason)
        shared = groups.get(session.session_id, UncoveredReason.OVERLAPPING_TIME)
        if lost.shared and shared is not None:
            yield _excluded(session, part, lost.shared, code, shared)


def _in_groups(
    sessions: Sequence[TreatedSession], code: str, groups: dict[UUID, UncoveredReason | None]
) -> Iterator[CountedMinutes]:
    """Shared time that was a group's: one untimed unit for each client, whatever its length
    (CMS Transmittal 1753, group therapy)."""
    for session in sessions:
        if session.session_id in groups and groups[session.session_id] is None:
            yield CountedMinutes(
                session.session_id,
                session.note_id,
                session.minutes[0].part,
                code,
                shared_minutes(session),
                timed=False,
            )


def _excluded(
    session: TreatedSession,
    part: SessionPart | None,
    minutes: int,
    code: str,
    reason: UncoveredReason,
) -> ExcludedMinutes:
    return ExcludedMinutes(
        note_id=session.note_id, part=part, minutes=minutes, code=code, uncovered_reason=reason
    )


def _would_be(rules: PayerRules, part: SessionPart, session: TreatedSession) -> str:
    if session.class_id is not None:
        return rules.group_code
    own = rules.codes.get((part, session.credential))
    if own is not None:
        return own
    paid = {rules.codes.get((part, one), "") for one in rules.paid_credentials} - {""}
    return paid.pop() if len(paid) == 1 else ""
