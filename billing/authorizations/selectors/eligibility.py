"""What is read of payers to say what a booked session would use of an authorization."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from uuid import UUID

from billing.authorizations.domain.eligibility import PayerFacts
from billing.authorizations.domain.events import AuthorizationTerms, AuthorizedLine
from billing.authorizations.models import Authorization
from billing.payers.selectors import payer_rules
from practice.core.terms import Credential
from sessions.calendar.models import Session
from sessions.session_split.selectors.settings import session_split_settings


@dataclass(frozen=True, slots=True)
class BookedWork:
    """A booked session as a payer looks at it."""

    practitioner_id: UUID
    credential: Credential
    class_id: UUID | None


def payer_facts(payer_ids: Collection[UUID]) -> PayerFacts:
    """The rules of some payers, and the work that each credential delivers here."""
    return PayerFacts(payer_rules(payer_ids), session_split_settings()[0].delivers)


def terms_of(row: Authorization) -> AuthorizationTerms:
    """Whose work and which codes an authorization pays, as its row has it."""
    return AuthorizationTerms(
        number=row.number,
        member_id=row.member_id,
        starts_on=row.starts_on,
        ends_on=row.ends_on,
        lines=tuple(AuthorizedLine(code=one["code"], units=one["units"]) for one in row.lines),
        practitioner_ids=tuple(UUID(one) for one in row.practitioner_ids),
        coverage_order=row.coverage_order,
    )


def draws(known: PayerFacts, one: Authorization, session: Session) -> bool:
    """Whether a booked session would use anything of an authorization that covers its day."""
    if not one.starts_on <= session.local_date <= one.last_day:
        return False
    work = BookedWork(session.practitioner_id, Credential(session.credential), session.class_id)
    return known.draws(one.payer_id, terms_of(one), work, session.local_date)
