"""What a day's signed sessions earn by a payer's rules, before anything is used. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from uuid import UUID

from billing.authorizations.domain.events import (
    AuthorizationTerms,
    BillableUnits,
    ExcludedMinutes,
    TreatedSession,
)
from billing.authorizations.domain.terms import UncoveredReason
from billing.payers.domain.rules import PayerRules, VisitDefinition
from billing.units.domain.units import UNIT_RULES, ExpectedUnits
from practice.core.terms import Credential, SessionPart


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
    """The need of a day, the minutes that dropped out, and those that count."""

    expected_units: ExpectedUnits
    excluded_minutes: tuple[ExcludedMinutes, ...]
    counted: tuple[CountedMinutes, ...]
    untimed: int
    definition: VisitDefinition

    @property
    def counting(self) -> tuple[UUID, ...]:
        """The sessions that count."""
        return tuple(dict.fromkeys(one.session_id for one in self.counted))

    def minutes_of(self, code: str) -> int:
        """Minutes that count for one timed code."""
        return sum(one.minutes for one in self.counted if one.code == code and one.timed)


@dataclass(frozen=True, slots=True)
class Eligibility:
    """Which minutes an authorization and its payer count.

    ``kept_codes`` were drawn for this visit earlier: an amendment does not take them back.
    """

    rules: PayerRules
    terms: AuthorizationTerms
    kept_codes: frozenset[str] = frozenset()

    def uncovered_reason(
        self, session: TreatedSession, part: SessionPart
    ) -> tuple[str, UncoveredReason | None]:
        """The service code of a part, and why its minutes do not count (None = they do)."""
        code = self.rules.codes.get((part, session.credential), "")
        if session.overlaps and not session.assigned:
            return code, UncoveredReason.OVERLAPPING_TIME
        named = {line.code for line in self.terms.lines} | self.kept_codes
        if session.credential not in self.rules.paid_credentials:
            return code, UncoveredReason.CREDENTIAL_NOT_PAID
        if (
            self.terms.practitioner_ids
            and session.practitioner_id not in self.terms.practitioner_ids
        ):
            return code, UncoveredReason.PRACTITIONER_NOT_AUTHORIZED
        if not code:
            return code, UncoveredReason.NO_SERVICE_CODE
        if self.terms.lines and code not in named:
            return code, UncoveredReason.CODE_NOT_AUTHORIZED
        return code, None


def calculate_earned_units(
    sessions: Sequence[TreatedSession],
    eligible: Eligibility,
    only: Collection[UUID] | None = None,
    otherwise: UncoveredReason = UncoveredReason.NO_VISITS_LEFT,
) -> EarnedUnits:
    """Calculate the units of one client, day and discipline.

    Minutes that do not count drop out first. ``only`` limits it to some sessions (those that
    a visit is left for); the others drop out with the reason ``otherwise``.
    The order of the sessions makes no difference to the need.
    """
    timed: Counter[str] = Counter()
    untimed: set[str] = set()
    excluded_minutes: list[ExcludedMinutes] = []
    counted: list[CountedMinutes] = []
    for session in sessions:
        for given in session.minutes:
            if not given.minutes:
                continue
            code, uncovered_reason = eligible.uncovered_reason(session, given.part)
            if uncovered_reason is None and only is not None and session.session_id not in only:
                uncovered_reason = otherwise
            if uncovered_reason is not None:
                out = ExcludedMinutes(
                    note_id=session.note_id,
                    part=given.part,
                    minutes=given.minutes,
                    code=code,
                    uncovered_reason=uncovered_reason,
                )
                excluded_minutes.append(out)
                continue
            is_timed = code not in eligible.rules.untimed
            counted.append(
                CountedMinutes(
                    session.session_id, session.note_id, given.part, code, given.minutes, is_timed
                )
            )
            if is_timed:
                timed[code] += given.minutes
            else:
                untimed.add(code)
    expected_units = UNIT_RULES[eligible.rules.unit_rule](timed, untimed)
    return EarnedUnits(
        expected_units,
        tuple(excluded_minutes),
        tuple(counted),
        len(untimed),
        eligible.rules.visit_definition,
    )


def billable_units_of(sessions: Sequence[TreatedSession], rules: PayerRules) -> BillableUnits:
    """What all minutes of a day would earn by a payer's rule, whoever gave them.

    A part that the payer has no code for under this credential takes the code that it has
    under paid credentials, where that is one. Minutes that overlap with another client's
    count for neither until a person assigns them.
    """
    timed: Counter[str] = Counter()
    untimed: set[str] = set()
    for session in sessions:
        if session.overlaps and not session.assigned:
            continue
        for given in session.minutes:
            code = _would_be(rules, given.part, session.credential)
            if code in rules.untimed:
                untimed.add(code)
            elif code:
                timed[code] += given.minutes
    expected_units = UNIT_RULES[rules.unit_rule](timed, untimed)
    return BillableUnits(
        payer_id=rules.payer_id,
        timed_minutes=expected_units.timed_minutes,
        units=dict(expected_units.sure),
        undecided_units=expected_units.undecided_units,
    )


def _would_be(rules: PayerRules, part: SessionPart, credential: Credential) -> str:
    own = rules.codes.get((part, credential))
    if own is not None:
        return own
    paid = {rules.codes.get((part, one), "") for one in rules.paid_credentials} - {""}
    return paid.pop() if len(paid) == 1 else ""
