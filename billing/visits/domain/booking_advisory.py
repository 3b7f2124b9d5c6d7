"""What a booking is told of the payer: work that it will not pay. Pure.

A booked session has no minutes yet. It is warned of what no authorization of its day would
count, by the rule that will calculate the visit.
"""

from __future__ import annotations

from collections.abc import Sequence

from billing.authorizations.domain.eligibility import PayerFacts, Unpaid
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.authorizations.domain.terms import UNCOVERED_REASON_TEXT, UncoveredReason
from billing.self_pay.domain.state import SELF_PAY
from practice.core.decisions import Context, States
from practice.core.reasons import Reason
from practice.core.terms import Credential, SessionPart
from sessions.booking.domain.commands import BookingQuestion, Slot

SOURCE = "the payer's rules"
PARTLY = "work_partly_paid"
OF_THE_PERSON = (UncoveredReason.CREDENTIAL_NOT_PAID, UncoveredReason.PRACTITIONER_NOT_AUTHORIZED)


def advise_on_payer(
    facts: BookingQuestion, states: States, known: PayerFacts, ctx: Context
) -> Sequence[Reason]:
    """Warn where no authorization of the day pays the credential, the practitioner or every
    kind of work that the credential delivers; never where the client pays."""
    day, kinds = facts.slot.local_start.date(), known.kinds(facts.slot.credential)
    if states[SELF_PAY].on(day):
        return []
    covering = sorted(
        (
            one
            for one in states[AUTHORIZATION_BALANCE].authorizations.values()
            if one.covers_day(day)
        ),
        key=lambda one: one.rank,
    )
    found = [(one, known.unpaid(one.payer_id, one.terms, facts.slot, day)) for one in covering]
    if not found or any(not unpaid for _, unpaid in found):
        return []
    authorization, unpaid = next((one for one in found if len(one[1]) < len(kinds)), found[0])
    payer = known.payers[authorization.payer_id].name
    names = f"{payer} (authorization {authorization.terms.number})"
    if len(unpaid) < len(kinds):
        return [_some(names, facts.slot, unpaid)]
    return [_nothing(names, facts.slot, unpaid)]


def unpaid_by_payer(
    facts: BookingQuestion, states: States, known: PayerFacts, ctx: Context
) -> Sequence[Reason]:
    """The warning of a booking of which the payer would pay nothing."""
    found = advise_on_payer(facts, states, known, ctx)
    return [reason for reason in found if reason.code != PARTLY]


def _some(names: str, slot: Slot, unpaid: Unpaid) -> Reason:
    parts = " and ".join(_words(part) for part in unpaid)
    text = f"Of the work of this {_words(slot.credential)}, {names} does not pay {parts}."
    return Reason(code=PARTLY, text=text, source=SOURCE)


def _nothing(names: str, slot: Slot, unpaid: Unpaid) -> Reason:
    why = list(dict.fromkeys(unpaid.values()))
    text = f"{names} pays nothing of a session with this {_words(slot.credential)}. "
    return Reason(
        code=why[0].value if why[0] in OF_THE_PERSON else "work_not_paid",
        text=text + " ".join(UNCOVERED_REASON_TEXT[one] for one in why),
        source=SOURCE,
    )


def _words(word: Credential | SessionPart) -> str:
    return word.value.replace("_", " ")
