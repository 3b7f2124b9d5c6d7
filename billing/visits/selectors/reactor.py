"""The visit that a signed note uses, calculated in the signature's own transaction."""

from __future__ import annotations

from typing import cast
from uuid import UUID

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.payers.domain.rules import PayerRulesById
from billing.payers.selectors import payer_rules
from billing.visits.domain.co_signature import when_co_signed
from billing.visits.domain.entered_in_error import without_session
from billing.visits.domain.reactors import BillingFacts, react_to_note
from billing.visits.domain.shared_time import shared_elsewhere
from billing.visits.selectors.overlaps import sessions_elsewhere, sessions_standing
from practice.core.decisions import Reactor, States
from practice.core.events import RecordedEvent
from sessions.calendar.domain.events import SessionEnteredInError
from sessions.calendar.domain.state import CALENDAR
from sessions.notes.domain.co_signature_events import CoSignatureRequired, NoteCoSigned
from sessions.notes.domain.co_signatures import CO_SIGNATURES
from sessions.notes.domain.events import AddendumAdded, NoteEnteredInError, NoteSigned

_InError = SessionEnteredInError | NoteEnteredInError


def _facts(client_id: UUID, states: States, recorded: RecordedEvent) -> BillingFacts:
    """The settings, as they stand now, of the payers of a client's authorizations, and
    whether the practitioner was with someone else in the minutes of the note."""
    rules = payer_rules(
        {one.payer_id for one in states[AUTHORIZATION_BALANCE].authorizations.values()}
    )
    data = recorded.data
    if isinstance(data, NoteSigned):
        span = data.started_at, data.ended_at
        session = states[CALENDAR].sessions.get(data.session_id)
        return BillingFacts(
            rules,
            sessions_elsewhere(client_id, data.practitioner_id, *span),
            class_id=session.class_id if session else None,
            awaits_co_signature=states[CO_SIGNATURES].of(data.session_id).awaited,
        )
    if not isinstance(data, AddendumAdded) or data.after is None:
        return BillingFacts(rules)
    treated = states[AUTHORIZATION_BALANCE].session_of_note(data.note_id)
    if treated is None:
        return BillingFacts(rules)
    times = data.after.times
    return BillingFacts(
        rules,
        sessions_elsewhere(client_id, treated.practitioner_id, times.started_at, times.ended_at),
        sessions_standing(shared_elsewhere(treated)),
    )


def _payers_of_session(client_id: UUID, states: States, recorded: RecordedEvent) -> PayerRulesById:
    """The rules of the payers of a client's authorizations, as they stand now."""
    held = states[AUTHORIZATION_BALANCE].authorizations.values()
    return payer_rules({one.payer_id for one in held})


GIVE_BACK_VISIT = Reactor(
    name="give back the visit of a session or a note entered in error",
    on=(SessionEnteredInError, NoteEnteredInError),
    slices=(AUTHORIZATION_BALANCE,),
    react=lambda rec, states, payers, _ctx: without_session(
        cast(_InError, rec.data).session_id, states[AUTHORIZATION_BALANCE], payers
    ),
    lookup=_payers_of_session,
)

CALCULATE_VISIT = Reactor(
    name="calculate a visit",
    on=(NoteSigned, AddendumAdded),
    slices=(AUTHORIZATION_BALANCE, CALENDAR, CO_SIGNATURES),
    react=react_to_note,
    lookup=_facts,
)

CALCULATE_CO_SIGNED = Reactor(
    name="calculate a visit when its note is co-signed",
    on=(CoSignatureRequired, NoteCoSigned),
    slices=(AUTHORIZATION_BALANCE,),
    react=lambda rec, states, payers, _ctx: when_co_signed(
        cast(CoSignatureRequired | NoteCoSigned, rec.data), states[AUTHORIZATION_BALANCE], payers
    ),
    lookup=_payers_of_session,
)
