"""The draw of a note waits for its co-signature (ruling 43). Pure."""

from __future__ import annotations

import msgspec

from billing.authorizations.domain.events import VisitCalculated
from billing.authorizations.domain.state import AuthorizationBalance
from billing.payers.domain.rules import PayerRulesById
from billing.visits.domain.reactors import day_of_visit, recalculated, with_session
from sessions.notes.domain.co_signature_events import CoSignatureRequired, NoteCoSigned


def when_co_signed(
    event: CoSignatureRequired | NoteCoSigned,
    authorization_balance: AuthorizationBalance,
    payers: PayerRulesById,
) -> list[VisitCalculated]:
    """The day of a note calculated again, as at a signature: with its minutes once it is
    co-signed, without them once an addendum made a co-signature necessary."""
    visit_id = authorization_balance.by_note.get(event.note_id)
    before = authorization_balance.session_of_note(event.note_id)
    if visit_id is None or before is None:
        return []
    awaits = isinstance(event, CoSignatureRequired)
    session = msgspec.structs.replace(before, awaits_co_signature=awaits)
    day = with_session(day_of_visit(authorization_balance, visit_id), session)
    return recalculated(day, authorization_balance, payers)
