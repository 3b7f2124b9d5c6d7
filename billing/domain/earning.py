"""What a day's signed sessions earn by a payer's rules, before anything is drawn. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from uuid import UUID

from billing.domain.events import Dropped, Terms, Treated
from billing.domain.payers import PayerRules
from billing.domain.terms import Gap, VisitDefinition
from billing.domain.units import RULES, Need
from practice.domain.terms import Part


@dataclass(frozen=True, slots=True)
class Earned:
    """The need of a day, the minutes that dropped out, and the sessions that count."""

    need: Need
    dropped: tuple[Dropped, ...]
    counting: tuple[UUID, ...]
    untimed: int
    definition: VisitDefinition


@dataclass(frozen=True, slots=True)
class Eligibility:
    """Which minutes an authorization and its payer count.

    ``kept_codes`` were drawn for this visit earlier: an amendment does not take them back.
    """

    rules: PayerRules
    terms: Terms
    kept_codes: frozenset[str] = frozenset()

    def gap(self, session: Treated, part: Part) -> tuple[str, Gap | None]:
        """The service code of a part, and why its minutes do not count (None = they do)."""
        code = self.rules.codes.get((part, session.credential), "")
        if session.overlaps and not session.assigned:
            return code, Gap.OVERLAPPING_TIME
        named = {line.code for line in self.terms.lines} | self.kept_codes
        if session.credential not in self.rules.paid_credentials:
            return code, Gap.CREDENTIAL_NOT_PAID
        if self.terms.practitioners and session.practitioner_id not in self.terms.practitioners:
            return code, Gap.PRACTITIONER_NOT_AUTHORIZED
        if not code:
            return code, Gap.NO_SERVICE_CODE
        if self.terms.lines and code not in named:
            return code, Gap.CODE_NOT_AUTHORIZED
        return code, None


def earn(
    sessions: Sequence[Treated],
    eligible: Eligibility,
    only: Collection[UUID] | None = None,
    otherwise: Gap = Gap.NO_VISITS_LEFT,
) -> Earned:
    """Reckon the units of one client, day and discipline.

    Minutes that do not count drop out first. ``only`` limits it to some sessions (those that
    a visit is left for); the others drop out with the reason ``otherwise``.
    The order of the sessions makes no difference to the need.
    """
    timed: Counter[str] = Counter()
    untimed: set[str] = set()
    dropped: list[Dropped] = []
    counting: list[UUID] = []
    for session in sessions:
        for given in session.minutes:
            if not given.minutes:
                continue
            code, gap = eligible.gap(session, given.part)
            if gap is None and only is not None and session.session_id not in only:
                gap = otherwise
            if gap is not None:
                out = Dropped(
                    note_id=session.note_id,
                    part=given.part,
                    minutes=given.minutes,
                    code=code,
                    gap=gap,
                )
                dropped.append(out)
                continue
            if session.session_id not in counting:
                counting.append(session.session_id)
            if code in eligible.rules.untimed:
                untimed.add(code)
            else:
                timed[code] += given.minutes
    need = RULES[eligible.rules.rule](timed, untimed)
    return Earned(
        need, tuple(dropped), tuple(counting), len(untimed), eligible.rules.visit_definition
    )
