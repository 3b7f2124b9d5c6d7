"""What a booking is told of the payer: the credential, the practitioner, the kind of work."""

from __future__ import annotations

from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

from billing.authorizations.domain.eligibility import PayerFacts
from billing.payers.domain.rules import PayerRules
from billing.visits.domain.booking_advisory import advise_on_payer
from practice.core.terms import Credential, SessionPart
from sessions.booking.domain.commands import Slot
from tests.billing.streams import (
    CARDIO,
    DAY,
    PT,
    STRENGTH,
    STRETCHING,
    TALK,
    TRAINER,
    Stream,
    lines,
    named,
    payer_rules,
)
from tests.billing.test_advising import slot_on, state, states_of

MASSAGE = Credential.MASSAGE_THERAPIST
DELIVERS = dict.fromkeys((PT, TRAINER), (STRETCHING, CARDIO, STRENGTH, TALK)) | {
    MASSAGE: (STRETCHING, TALK)
}


def told(
    stream: Stream, credential: Credential = PT, day: date = DAY, by: str = "practitioner"
) -> dict[str, str]:
    slot = Slot(**{**slot_on(day), "credential": credential, "practitioner_id": named(by)})
    facts: Any = SimpleNamespace(session_id=named("new"), slot=slot)
    known = PayerFacts(stream.payers, DELIVERS)
    found = advise_on_payer(facts, states_of(stream), known, stream.context)
    return {one.code: one.text for one in found}


def test_a_credential_that_the_payer_does_not_pay_is_warned_of() -> None:
    stream = Stream()
    stream.authorize()
    assert told(stream) == {}
    found = told(stream, TRAINER)
    assert list(found) == ["credential_not_paid"]
    assert "Payer (authorization A-1)" in found["credential_not_paid"]
    assert "personal trainer" in found["credential_not_paid"]


def test_the_rules_of_the_booked_day_are_asked() -> None:
    paid_later = payer_rules(
        paid_credentials=frozenset({PT, TRAINER}),
        earlier=(payer_rules(until=DAY + timedelta(days=7)),),
    )
    stream = Stream(paid_later)
    stream.authorize()
    assert list(told(stream, TRAINER, DAY + timedelta(days=6))) == ["credential_not_paid"]
    assert told(stream, TRAINER, DAY + timedelta(days=7)) == {}


def test_a_practitioner_whom_the_authorization_does_not_name_is_warned_of() -> None:
    stream = Stream()
    stream.authorize(practitioner_ids=(named("practitioner"),))
    assert told(stream) == {}
    assert list(told(stream, by="another")) == ["practitioner_not_authorized"]


def test_kinds_of_work_that_the_authorization_does_not_name_are_warned_of() -> None:
    stream = Stream()
    stream.authorize(lines=lines(S=None))
    found = told(stream)
    assert list(found) == ["work_partly_paid"]
    assert found["work_partly_paid"].endswith("does not pay cardio and strength.")


def test_where_no_kind_of_work_is_paid_it_says_why() -> None:
    stream = Stream()
    stream.authorize(lines=lines(X=None))
    assert "does not name this service code" in told(stream)["work_not_paid"]
    unmapped: PayerRules = payer_rules(codes={})
    bare = Stream(unmapped)
    bare.authorize()
    assert "no service code" in told(bare)["work_not_paid"]


def test_only_what_the_credential_delivers_here_is_looked_at() -> None:
    stream = Stream(
        payer_rules(
            paid_credentials=frozenset({MASSAGE}), codes={(SessionPart.STRETCHING, MASSAGE): "S"}
        )
    )
    stream.authorize()
    assert told(stream, MASSAGE) == {}


def test_another_authorization_of_the_day_that_pays_it_all_is_enough() -> None:
    stream = Stream(
        payer_rules(),
        payer_rules(payer_id=named("other"), name="Other", paid_credentials=frozenset({TRAINER})),
    )
    stream.authorize()
    stream.authorize("second", payer="other", number="B-1", ends_on=DAY)
    assert told(stream, TRAINER) == {}
    assert list(told(stream, TRAINER, DAY + timedelta(days=1))) == ["credential_not_paid"]


def test_the_one_that_pays_some_is_named_before_one_that_pays_nothing() -> None:
    stream = Stream()
    stream.authorize(lines=lines(X=None))
    stream.authorize("second", number="A-2", lines=lines(S=None), coverage_order=2)
    assert "A-2" in told(stream)["work_partly_paid"]


def test_a_day_without_authorization_and_a_client_who_pays_are_not_warned_of_the_payer() -> None:
    stream = Stream()
    stream.authorize()
    assert told(stream, TRAINER, date(2026, 6, 1)) == {}
    state(stream, DAY)
    assert told(stream, TRAINER) == {}
