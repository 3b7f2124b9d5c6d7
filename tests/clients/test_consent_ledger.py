"""What stands of consents and withdrawals, however late each was entered (rulings 46, 56)."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.consent.domain import decisions as consenting
from clients.consent.domain.commands import ConfirmConsent, EndConsent, RecordConsent
from clients.consent.domain.events import (
    EVERYTHING,
    ConsentConfirmed,
    ConsentDeclined,
    ConsentDocumentation,
    ConsentRecorded,
    ConsentScope,
    ConsentWithdrawn,
    NarrowedScope,
)
from clients.consent.domain.state import CONSENT, ConsentState
from clients.consent.domain.terms import (
    ConsentMethod,
    ConsentSigner,
    ConsentStatus,
    GrantStatus,
)
from clients.health.domain.content import BodySite
from clients.identity.domain.dates import birthday
from clients.identity.domain.events import ClientDetails
from practice.core.events import DatedEvent
from practice.core.terms import Region, Side, Technique
from tests.dsl import NOW, Scenario, given

replace = msgspec.structs.replace
TODAY = date(2026, 3, 2)
ARM = BodySite(region=Region.ARM, side=Side.LEFT)
GRANT = ConsentRecorded(
    consent_id=UUID(int=1),
    scope=ConsentScope(sites=(ARM,), techniques=(Technique.PASSIVE,)),
    obtained=ConsentDocumentation(form=ConsentMethod.PAPER, language="en"),
    given_on=TODAY,
    until=date(2027, 3, 2),
)
RENEWAL = replace(GRANT, consent_id=UUID(int=2))
WITHDRAWN = ConsentWithdrawn(consent_id=GRANT.consent_id)
PASSIVE = NarrowedScope(techniques=(Technique.PASSIVE,))
PART = ConsentWithdrawn(consent_id=GRANT.consent_id, scope=PASSIVE)


def at(hours: float) -> datetime:
    return NOW - timedelta(hours=hours)


def told(*events: Any) -> ConsentState:
    """The state of events in the order of their entry, each with its true time."""
    state: ConsentState = given(CONSENT, *events).state
    return state


def status(state: ConsentState, consent_id: int) -> GrantStatus:
    grant = state.ledger.grant(UUID(int=consent_id))
    assert grant is not None
    return state.ledger.status_of(grant)


def confirm(state: ConsentState, ctx: Any) -> Any:
    return consenting.confirm_consent(state, ConfirmConsent(consent_id=RENEWAL.consent_id), ctx)


def test_a_withdrawal_with_its_true_earlier_time_reaches_the_renewal_entered_since() -> None:
    """Ruling 46: said at 8, renewed at 10 (entered at 10), the call entered at 15."""
    state = told((GRANT, at(100)), (RENEWAL, at(5)), (WITHDRAWN, at(7)))
    assert state.touch.status is ConsentStatus.SUSPENDED
    assert status(state, 1) is GrantStatus.ENDED
    assert status(state, 2) is GrantStatus.SUSPENDED


@pytest.mark.parametrize(
    ("given_hours_ago", "expected"),
    [
        (7.01, GrantStatus.ENDED),  # given before it was said
        (6.99, GrantStatus.SUSPENDED),  # given after it was said, entered before it was entered
    ],
)
def test_only_a_consent_given_after_the_withdrawal_was_said_can_be_asked_about(
    given_hours_ago: float, expected: GrantStatus
) -> None:
    state = told((RENEWAL, at(given_hours_ago)), (WITHDRAWN, at(7)))
    assert status(state, 2) is expected


@pytest.mark.parametrize(
    ("given_hours_ago", "expected"),
    [(7.01, ConsentStatus.WITHDRAWN), (6.99, ConsentStatus.GRANTED)],
)
def test_a_consent_recorded_after_the_entry_counts_only_if_given_after_it_was_said(
    given_hours_ago: float, expected: ConsentStatus
) -> None:
    state = told((GRANT, at(100)), (WITHDRAWN, at(7)), (RENEWAL, at(given_hours_ago)))
    assert state.touch.status is expected


def test_asked_it_stands_restores_what_was_given_in_between_and_nothing_else() -> None:
    suspended = ((GRANT, at(100)), (RENEWAL, at(5)), (WITHDRAWN, at(7)))
    confirmed = ConsentConfirmed(consent_id=RENEWAL.consent_id)
    given(CONSENT, *suspended).when(confirm).then(confirmed)
    state = told(*suspended, confirmed)
    assert state.touch.status is ConsentStatus.GRANTED
    assert state.touch.consent_id == RENEWAL.consent_id
    again = Scenario(CONSENT, (*suspended, confirmed)).when(confirm)
    again.rejected("consent_not_suspended", 409)
    # A withdrawal after the confirmation ends it like any other.
    assert told(*suspended, confirmed, (WITHDRAWN, at(1))).touch.status is ConsentStatus.WITHDRAWN


def test_an_ended_consent_cannot_be_confirmed_and_an_unknown_one_is_not_found() -> None:
    given(CONSENT, (RENEWAL, at(8)), (WITHDRAWN, at(7))).when(confirm).rejected(
        "consent_not_suspended", 409
    )
    given(CONSENT, (GRANT, at(8))).when(confirm).rejected("not_found", 404)


def test_a_paper_of_yesterday_entered_after_todays_is_shown_as_replaced() -> None:
    state = told((GRANT, at(1)), (RENEWAL, at(30)))
    assert state.touch.consent_id == GRANT.consent_id
    assert status(state, 2) is GrantStatus.REPLACED


def test_a_part_withdrawn_narrows_every_consent_until_a_new_one_is_given() -> None:
    state = told((GRANT, at(100)), (RENEWAL, at(5)), (PART, at(7)))
    assert state.touch.status is ConsentStatus.GRANTED
    assert state.touch.narrowed == (PASSIVE,)
    assert told((GRANT, at(100)), (PART, at(7)), (RENEWAL, at(5))).touch.narrowed == ()
    confirmed = ConsentConfirmed(consent_id=RENEWAL.consent_id)
    given(CONSENT, (RENEWAL, at(5)), (PART, at(7))).when(confirm).then(confirmed)
    assert told((RENEWAL, at(5)), (PART, at(7)), confirmed).touch.narrowed == ()


def test_a_withdrawal_is_dropped_only_where_it_was_said_as_early_and_nothing_came_since() -> None:
    def withdraw(hours: float, scope: NarrowedScope = EVERYTHING) -> Any:
        command = EndConsent(occurred_at=at(hours), scope=scope)
        return lambda s, c: consenting.withdraw_consent(s, command, c)

    once = ((GRANT, at(100)), (WITHDRAWN, at(7)))
    given(CONSENT, *once).when(withdraw(7)).then()
    given(CONSENT, *once).when(withdraw(7.01)).then_kinds(ConsentWithdrawn)
    given(CONSENT, *once, (RENEWAL, at(5))).when(withdraw(6)).then_kinds(ConsentWithdrawn)
    given(CONSENT, (GRANT, at(100)), (PART, at(7))).when(withdraw(6)).then_kinds(ConsentWithdrawn)
    given(CONSENT, (GRANT, at(100)), (PART, at(7))).when(withdraw(6, PASSIVE)).then()


def test_a_refusal_takes_effect_as_a_withdrawal_does() -> None:
    declined = ConsentDeclined(consent_id=UUID(int=9))
    state = told((GRANT, at(100)), (RENEWAL, at(5)), (declined, at(7)))
    assert state.touch.status is ConsentStatus.SUSPENDED
    assert told((GRANT, at(100)), (declined, at(7))).touch.status is ConsentStatus.DECLINED


# Papers and their dates


DETAILS = ClientDetails(
    given_name="Iris",
    family_name="Lindqvist",
    birth_date=date(1971, 4, 23),
    zone="America/New_York",
    facility_ids=(UUID(int=1),),
)
PAPER = RecordConsent(scope=GRANT.scope, obtained=GRANT.obtained, signed_on=TODAY)


def recording(
    command: RecordConsent, born: date | None = DETAILS.birth_date, ages: tuple[int, ...] = (18,)
) -> Scenario:
    details = replace(DETAILS, birth_date=born)
    return given(CONSENT).when(
        lambda _s, c: consenting.record_consent(command, details, days=365, ages=ages, ctx=c)
    )


def test_a_paper_bears_its_signing_date() -> None:
    """Ruling 46: without a date it is refused; of today it counts from now, else of its day."""
    recording(replace(PAPER, signed_on=None)).rejected("invalid", 400)
    recording(replace(PAPER, signed_on=date(2026, 3, 3))).rejected("invalid", 400)
    for signed, expected in (
        (TODAY, NOW),
        (date(2026, 3, 1), datetime.fromisoformat("2026-03-01T00:00:00-05:00")),
    ):
        decided = recording(replace(PAPER, signed_on=signed)).decided
        assert decided is not None
        [found] = decided
        assert isinstance(found, DatedEvent)
        assert found.occurred_at == expected
        assert isinstance(found.event, ConsentRecorded)
        assert found.event.given_on == signed
    other_day = replace(PAPER, signed_on=date(2026, 3, 1), occurred_at=at(1))
    recording(other_day).rejected("invalid", 400)
    recording(replace(PAPER, occurred_at=at(1))).then_kinds(ConsentRecorded)


# The age of medical consent


GUARDIAN = replace(
    PAPER,
    obtained=replace(
        PAPER.obtained,
        signer=ConsentSigner.GUARDIAN,
        guardian_name="Mina Okafor",
        guardian_relation="mother",
    ),
)


@pytest.mark.parametrize(("born", "refused"), [(date(2008, 3, 2), False), (date(2008, 3, 3), True)])
def test_below_the_age_of_consent_the_clients_own_signature_grants_nothing(
    born: date, refused: bool
) -> None:
    """Ruling 56, on the birthday and the day before it."""
    own, guardian = recording(PAPER, born), recording(GUARDIAN, born)
    if refused:
        assert set(own.rejected("invalid", 400).fields or {}) == {"signer"}
        [event] = guardian.then_kinds(ConsentRecorded)
        assert isinstance(event, ConsentRecorded)
        assert event.until == date(2026, 3, 2), "the day before the birthday"
    else:
        own.then_kinds(ConsentRecorded)
        guardian.rejected("invalid", 400)


def test_the_age_is_that_of_the_places_and_proof_of_marriage_lifts_it() -> None:
    fifteen = date(2010, 6, 1)
    recording(PAPER, fifteen, (18,)).rejected("invalid", 400)
    recording(PAPER, fifteen, (14, 18)).then_kinds(ConsentRecorded)
    proven = replace(PAPER, obtained=replace(PAPER.obtained, adult_proof="marriage certificate"))
    recording(proven, fifteen).then_kinds(ConsentRecorded)
    [event] = recording(GUARDIAN, fifteen, (14, 18)).then_kinds(ConsentRecorded)
    assert isinstance(event, ConsentRecorded)
    assert event.until == date(2027, 3, 2)


def test_a_guardian_is_named_with_what_makes_them_one_and_needs_the_birth_date() -> None:
    for left_out in ("guardian_name", "guardian_relation"):
        nameless = replace(GUARDIAN, obtained=replace(GUARDIAN.obtained, **{left_out: ""}))
        refusal = recording(nameless, date(2010, 6, 1)).rejected("invalid", 400)
        assert refusal.fields is not None
        assert left_out in refusal.fields
    recording(GUARDIAN, None).rejected("invalid", 400)


def test_a_birthday_of_29_february_falls_on_1_march_of_a_common_year() -> None:
    assert birthday(date(2008, 2, 29), 18) == date(2026, 3, 1)
    assert birthday(date(2008, 2, 29), 20) == date(2028, 2, 29)
