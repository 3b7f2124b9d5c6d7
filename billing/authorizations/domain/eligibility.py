"""Which work an authorization and its payer count, booked or signed. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol
from uuid import UUID

from billing.authorizations.domain.events import AuthorizationTerms, TreatedSession
from billing.authorizations.domain.terms import UncoveredReason
from billing.payers.domain.rules import PayerRules, PayerRulesById
from practice.core.terms import Credential, SessionPart

Unpaid = Mapping[SessionPart, UncoveredReason]


class Work(Protocol):
    """A session as a payer looks at it: given by whom, under which credential."""

    @property
    def practitioner_id(self) -> UUID:
        """Who gives it."""

    @property
    def credential(self) -> Credential:
        """Under which credential."""

    @property
    def class_id(self) -> UUID | None:
        """The class in which it is a place."""


@dataclass(frozen=True, slots=True)
class Eligibility:
    """Which minutes an authorization and its payer count.

    ``kept_codes`` were drawn for this visit earlier: an amendment does not take them back.
    """

    rules: PayerRules
    terms: AuthorizationTerms
    kept_codes: frozenset[str] = frozenset()

    def uncovered_reason(
        self, session: Work, part: SessionPart
    ) -> tuple[str, UncoveredReason | None]:
        """The service code of a part, and why its minutes do not count (None = they do)."""
        code = self.rules.codes.get((part, session.credential), "")
        if session.class_id is not None:
            code = self.rules.group_code
        return code, self._reason(session, code)

    def uncovered_group_reason(self, session: TreatedSession) -> UncoveredReason | None:
        """Why time with several clients at once does not count (None = it does)."""
        return self._reason(session, self.rules.group_code)

    def _reason(self, session: Work, code: str) -> UncoveredReason | None:
        named = {line.code for line in self.terms.lines} | self.kept_codes
        if session.credential not in self.rules.paid_credentials:
            return UncoveredReason.CREDENTIAL_NOT_PAID
        named_ids = self.terms.practitioner_ids
        if named_ids and session.practitioner_id not in named_ids:
            return UncoveredReason.PRACTITIONER_NOT_AUTHORIZED
        if not code:
            return UncoveredReason.NO_SERVICE_CODE
        if self.terms.lines and code not in named:
            return UncoveredReason.CODE_NOT_AUTHORIZED
        return None


@dataclass(frozen=True, slots=True)
class PayerFacts:
    """What was read for a booking: the rules of the client's payers, and the parts of a session
    that each credential delivers here."""

    payers: PayerRulesById
    delivers: Mapping[Credential, tuple[SessionPart, ...]]

    def kinds(self, credential: Credential) -> tuple[SessionPart, ...]:
        """The kinds of work of a credential; measuring and talk go with any of them."""
        delivered = self.delivers.get(credential, ())
        return tuple(one for one in delivered if one is not SessionPart.MEASURING_AND_TALK)

    def unpaid(self, payer_id: UUID, terms: AuthorizationTerms, work: Work, day: date) -> Unpaid:
        """The kinds of work of a booked session that an authorization would not count on a day,
        and why."""
        eligible = Eligibility(self.payers[payer_id].on(day), terms)
        found = {
            part: eligible.uncovered_reason(work, part)[1] for part in self.kinds(work.credential)
        }
        return {part: reason for part, reason in found.items() if reason is not None}

    def draws(self, payer_id: UUID, terms: AuthorizationTerms, work: Work, day: date) -> bool:
        """Whether a booked session would use anything of an authorization; so where nobody knows
        what work it is, or by what rules it is paid."""
        kinds: Sequence[SessionPart] = self.kinds(work.credential)
        if not kinds or payer_id not in self.payers:
            return True
        return len(self.unpaid(payer_id, terms, work, day)) < len(kinds)


NOTHING_KNOWN = PayerFacts({}, {})
"""Where nothing was read of payers: every session draws."""
