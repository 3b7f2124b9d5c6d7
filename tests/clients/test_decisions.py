"""Decisions on the client's facts, told as given, when, then."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest
from hypothesis import assume, settings
from hypothesis import given as for_all
from hypothesis import strategies as st

from clients.clinical.domain.facts import ClientFacts, facts_of
from clients.consent.domain import decisions as consenting
from clients.consent.domain.commands import EndConsent, RecordConsent
from clients.consent.domain.events import (
    ConsentDeclined,
    ConsentDocumentation,
    ConsentRecorded,
    ConsentScope,
    ConsentWithdrawn,
)
from clients.consent.domain.state import CONSENT as TOUCH
from clients.consent.domain.state import ConsentState
from clients.consent.domain.terms import ConsentMethod, ConsentStatus
from clients.health.domain import decisions as taking_history
from clients.health.domain.commands import ReportHistory, ReviewHistory
from clients.health.domain.content import BodySite, Condition, HistoryContent, Operation
from clients.health.domain.events import HistoryReported, HistoryReviewed
from clients.health.domain.state import HEALTH
from clients.health.domain.terms import ConditionKind, NeckHistory, OperationKind
from clients.identity.domain import decisions as registering
from clients.identity.domain.commands import ChangeDetails
from clients.identity.domain.events import ClientDetails, ClientDetailsChanged, ClientRegistered
from clients.identity.domain.state import IDENTITY
from clients.orders.domain import decisions as filing_orders
from clients.orders.domain.commands import FileOrder, LiftOrder
from clients.orders.domain.event_texts import EVENT_TEXTS
from clients.orders.domain.events import OrderFiled, OrderLifted
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.state import ORDERS
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from clients.preference.domain import decisions as preferring
from clients.preference.domain.commands import AgreeException, StatePreference
from clients.preference.domain.events import (
    PreferenceExceptionAgreed,
    PreferenceStated,
    StatedPreference,
)
from clients.preference.domain.state import PREFERENCE, PreferenceState
from clients.preference.domain.terms import PreferenceScope
from practice.core.appspec import installed
from practice.core.event_texts import text_of_event
from practice.core.events import DatedEvent
from practice.core.reasons import Rejected
from practice.core.terms import Gender, Region, Side, Technique
from practice.work.projection_runner import MemoryRows
from tests.dsl import NOW, STREAM, context, given, recorded

replace = msgspec.structs.replace
TODAY = date(2026, 3, 2)
DETAILS = ClientDetails(
    given_name="Iris",
    family_name="Lindqvist",
    birth_date=date(1971, 4, 23),
    email="iris@example.org",
    zone="America/New_York",
    facility_ids=(UUID(int=1),),
)
SHOULDER = BodySite(region=Region.SHOULDER, side=Side.LEFT)
CONSENT = RecordConsent(
    scope=ConsentScope(sites=(SHOULDER,), techniques=(Technique.ACTIVE_ISOLATED,)),
    obtained=ConsentDocumentation(form=ConsentMethod.PAPER, language="en"),
    signed_on=TODAY,
)
GIVEN = ConsentRecorded(
    consent_id=UUID(int=5),
    scope=CONSENT.scope,
    obtained=CONSENT.obtained,
    given_on=TODAY,
    until=date(2026, 12, 31),
)
CLEARANCE = FileOrder(
    kind=OrderKind.CLEARANCE,
    prescriber=Prescriber.SURGEON,
    prescriber_name="the surgeon",
    given_on=date(2026, 2, 20),
    subjects=(OrderSubject.STRETCHING,),
    sites=(SHOULDER,),
)


def at(hours: int) -> datetime:
    return NOW - timedelta(hours=hours)


def record(command: RecordConsent) -> Any:
    return lambda state, ctx: consenting.record_consent(
        command, DETAILS, days=365, ages=(18,), ctx=ctx
    )


def test_a_client_is_registered_once_and_unchanged_details_are_no_event() -> None:
    given(IDENTITY).when(lambda s, c: registering.register_client(s, DETAILS, c)).then(
        ClientRegistered(details=DETAILS)
    )
    known = given(IDENTITY, ClientRegistered(details=DETAILS))
    known.when(lambda s, c: registering.register_client(s, DETAILS, c)).rejected(
        "already_registered"
    )
    known = given(IDENTITY, ClientRegistered(details=DETAILS))
    known.when(
        lambda s, c: registering.change_details(s, ChangeDetails(changes={"given_name": "Iris"}), c)
    ).then()
    known.when(
        lambda s, c: registering.change_details(s, ChangeDetails(changes={"given_name": "Ines"}), c)
    ).then(
        ClientDetailsChanged(details=replace(DETAILS, given_name="Ines"), changed=("given_name",))
    )


def test_today_is_the_clients_own_day() -> None:
    # 03:00 UTC on 3 March is still 2 March in New York: a birth on the 3rd lies ahead.
    early = datetime(2026, 3, 3, 3, 0, tzinfo=UTC)
    born = replace(DETAILS, birth_date=date(2026, 3, 3))
    given(IDENTITY).when(lambda s, c: registering.register_client(s, born, c), now=early).rejected(
        "invalid", 400
    )
    tokyo = replace(born, zone="Asia/Tokyo")
    given(IDENTITY).when(
        lambda s, c: registering.register_client(s, tokyo, c), now=early
    ).then_kinds(ClientRegistered)


def test_a_consent_counts_from_the_day_it_was_given_for_the_practices_days() -> None:
    late = replace(CONSENT, signed_on=None, occurred_at=at(72))
    [event] = given(TOUCH).when(record(late)).then_kinds(ConsentRecorded)
    assert isinstance(event, ConsentRecorded)
    assert (event.given_on, event.until) == (date(2026, 2, 27), date(2027, 2, 27))
    assert event.until_by_setting


def test_a_consent_of_the_future_is_refused() -> None:
    ahead = replace(CONSENT, occurred_at=NOW + timedelta(minutes=1))
    given(TOUCH).when(record(ahead)).rejected("invalid", 400)


def test_withdrawing_and_declining_are_never_refused_and_never_said_twice() -> None:
    def withdraw(state: ConsentState, ctx: Any) -> Any:
        return consenting.withdraw_consent(state, EndConsent(), ctx)

    def decline(state: ConsentState, ctx: Any) -> Any:
        return consenting.decline_consent(state, EndConsent(), ctx)

    given(TOUCH, GIVEN).when(withdraw).then(ConsentWithdrawn(consent_id=GIVEN.consent_id))
    given(TOUCH).when(withdraw).then(ConsentWithdrawn(consent_id=None))
    given(TOUCH, ConsentWithdrawn(consent_id=None)).when(withdraw).then()
    given(TOUCH, GIVEN).when(decline).then_kinds(ConsentDeclined)
    given(TOUCH, ConsentDeclined(consent_id=UUID(int=6))).when(decline).then()


def test_a_withdrawal_entered_late_counts_from_when_it_happened() -> None:
    scenario = given(TOUCH, (GIVEN, at(5))).when(
        lambda s, c: consenting.withdraw_consent(s, EndConsent(occurred_at=at(2)), c)
    )
    assert scenario.decided is not None
    [happened] = scenario.decided
    assert isinstance(happened, DatedEvent)
    assert happened.occurred_at == at(2)


def refused_to_evaluate() -> None:
    raise Rejected("may_not_evaluate", "Nobody here.", status=403)


def test_a_review_takes_in_the_reports_and_a_clot_without_a_date_counts_from_that_day() -> None:
    clot = Condition(id=UUID(int=9), kind=ConditionKind.CLOT)
    command = ReportHistory(content=HistoryContent(conditions=(clot,)))
    [told] = (
        given(HEALTH)
        .when(lambda s, c: taking_history.report_history(command, DETAILS, c))
        .then_kinds(HistoryReported)
    )
    assert isinstance(told, HistoryReported)
    assert told.content.conditions[0].since == TODAY
    [found] = (
        given(HEALTH, told)
        .when(
            lambda s, c: taking_history.review_history(
                s,
                ReviewHistory(content=HistoryContent()),
                DETAILS,
                check_may_evaluate=refused_to_evaluate,
                ctx=c,
            )
        )
        .then_kinds(HistoryReviewed)
    )
    assert isinstance(found, HistoryReviewed)
    assert found.covers == (told.report_id,)
    assert given(HEALTH, told, found).state.open_reports == ()
    assert given(HEALTH, found, told).state.open_reports == (), "in whatever order they are folded"


def test_a_clearance_ends_by_the_practices_setting_and_counts_from_its_own_day() -> None:
    scenario = given(ORDERS).when(
        lambda s, c: filing_orders.file_order(CLEARANCE, DETAILS, clearance_days=180, ctx=c)
    )
    assert scenario.decided is not None
    [happened] = scenario.decided
    assert isinstance(happened, DatedEvent)
    # Midnight of 20 February in New York.
    assert happened.occurred_at == datetime(2026, 2, 20, 5, 0, tzinfo=UTC)
    assert isinstance(happened.event, OrderFiled)
    assert happened.event.order.expires_on == date(2026, 8, 19)
    assert happened.event.expiry_by_setting
    today = replace(CLEARANCE, given_on=TODAY, expires_on=date(2026, 4, 1))
    scenario.when(lambda s, c: filing_orders.file_order(today, DETAILS, clearance_days=180, ctx=c))
    assert scenario.decided is not None
    [now] = scenario.decided
    assert isinstance(now, DatedEvent)
    assert now.occurred_at == NOW


def filing(command: FileOrder) -> Any:
    return lambda s, c: filing_orders.file_order(command, DETAILS, clearance_days=180, ctx=c)


def test_a_clearance_for_load_needs_no_site_and_has_no_end_of_its_own() -> None:
    load = replace(CLEARANCE, subjects=(OrderSubject.LOAD,), sites=())
    [filed] = given(ORDERS).when(filing(load)).then_kinds(OrderFiled)
    assert isinstance(filed, OrderFiled)
    assert (filed.order.expires_on, filed.expiry_by_setting) == (None, False)
    at_site = replace(load, sites=(SHOULDER,), expires_on=date(2026, 4, 1))
    [ending] = given(ORDERS).when(filing(at_site)).then_kinds(OrderFiled)
    assert isinstance(ending, OrderFiled)
    assert ending.order.expires_on == date(2026, 4, 1)


@pytest.mark.parametrize(
    "changes",
    [
        {"subjects": ()},
        {"subjects": (OrderSubject.LOAD, OrderSubject.CURLS)},
        {"sites": ()},
        {"subjects": (OrderSubject.WORK_AT_BONE_SITE,), "sites": ()},
    ],
)
def test_a_clearance_says_for_what_and_where_and_load_stands_alone(changes: Any) -> None:
    given(ORDERS).when(filing(replace(CLEARANCE, **changes))).rejected("invalid", 400)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (OrderKind.CLEARANCE, "A clearance was revoked by the surgeon"),
        (OrderKind.RESTRICTION, "A restriction was lifted by the surgeon"),
    ],
)
def test_a_clearance_is_revoked_and_a_restriction_lifted(kind: OrderKind, words: str) -> None:
    event = OrderLifted(
        order_id=CLEARANCE_ORDER.id, kind=kind, lifted_on=TODAY, lifted_by="the surgeon"
    )
    assert text_of_event(recorded(event), [EVENT_TEXTS]).startswith(words)


def test_a_restriction_without_an_end_has_none_until_it_is_lifted_by_name() -> None:
    restriction = replace(CLEARANCE, kind=OrderKind.RESTRICTION, subjects=(), sites=())
    [filed] = (
        given(ORDERS)
        .when(
            lambda s, c: filing_orders.file_order(restriction, DETAILS, clearance_days=180, ctx=c)
        )
        .then_kinds(OrderFiled)
    )
    assert isinstance(filed, OrderFiled)
    assert filed.order.expires_on is None
    lift = LiftOrder(order_id=filed.order.id, lifted_by="the surgeon")

    def lifting(command: LiftOrder) -> Any:
        return lambda s, c: filing_orders.lift_order(s, command, DETAILS.zone, c)

    [lifted] = given(ORDERS, filed).when(lifting(lift)).then_kinds(OrderLifted)
    assert isinstance(lifted, OrderLifted)
    assert (lifted.lifted_on, lifted.lifted_by) == (TODAY, "the surgeon")
    given(ORDERS, filed, lifted).when(lifting(lift)).then()
    before = replace(lift, lifted_on=date(2026, 2, 19))
    given(ORDERS, filed).when(lifting(before)).rejected("invalid", 400)
    unknown = replace(lift, order_id=UUID(int=404))
    given(ORDERS, filed).when(lifting(unknown)).rejected("not_found", 404)


def test_an_exception_is_for_one_span_that_has_not_passed() -> None:
    woman = StatedPreference(scope=PreferenceScope.ALL_WORK, gender=Gender.WOMAN)
    stated = PreferenceStated(preference=woman)
    agreed = AgreeException(practitioner_id=UUID(int=3), agreed_how="in person", on=TODAY)

    def agree(command: AgreeException) -> Any:
        return lambda s, c: preferring.agree_exception(s, command, DETAILS.zone, c)

    given(PREFERENCE, stated).when(agree(agreed)).then_kinds(PreferenceExceptionAgreed)
    given(PREFERENCE).when(agree(agreed)).rejected("no_preference", 409)
    for wrong in (
        replace(agreed, on=None),
        replace(agreed, until=TODAY),
        replace(agreed, on=date(2026, 3, 1)),
    ):
        given(PREFERENCE, stated).when(agree(wrong)).rejected("invalid", 400)


def test_the_same_preference_stated_again_is_no_event() -> None:
    command = StatePreference(gender=Gender.WOMAN)

    def state(in_force: PreferenceState, ctx: Any) -> Any:
        return preferring.state_preference(in_force, command, ctx)

    [stated] = given(PREFERENCE).when(state).then_kinds(PreferenceStated)
    given(PREFERENCE, stated).when(state).then()


NECK = HistoryContent(neck=NeckHistory.INJURY)
SURGERY = HistoryContent(
    operations=(Operation(id=UUID(int=7), kind=OperationKind.MASTECTOMY, side=Side.LEFT),)
)
CLEARANCE_ORDER = MedicalOrder(
    id=UUID(int=8),
    kind=OrderKind.CLEARANCE,
    prescriber=Prescriber.SURGEON,
    prescriber_name="the surgeon",
    given_on=TODAY,
)
RENEWED = replace(GIVEN, consent_id=UUID(int=6))
REVIEWS = (
    HistoryReviewed(
        review_id=UUID(int=2), content=NECK, practitioner_id=None, covers=(UUID(int=1),)
    ),
    HistoryReviewed(review_id=UUID(int=3), content=SURGERY, practitioner_id=None),
)
DATED = [
    (GIVEN, at(50)),
    (ConsentWithdrawn(consent_id=GIVEN.consent_id), at(40)),
    (RENEWED, at(30)),
    (HistoryReported(report_id=UUID(int=1), content=SURGERY), at(45)),
    (REVIEWS[0], at(35)),
    (REVIEWS[1], at(25)),
    (PreferenceStated(preference=None), at(44)),
    (PreferenceStated(preference=StatedPreference(scope=PreferenceScope.ALL_WORK,
                                                  gender=Gender.WOMAN)), at(34)),
    (OrderFiled(order=CLEARANCE_ORDER), at(33)),
    (OrderLifted(order_id=CLEARANCE_ORDER.id, kind=OrderKind.CLEARANCE, lifted_on=TODAY,
                 lifted_by="the surgeon"), at(20)),
]  # fmt: skip


@settings(max_examples=100, deadline=None)
@for_all(st.permutations(DATED))
def test_facts_stand_as_they_happened_in_whatever_order_they_were_recorded(
    written: list[tuple[Any, datetime]],
) -> None:
    def folded(events: list[tuple[Any, datetime]]) -> ClientFacts:
        return facts_of(
            recorded(event, version, when) for version, (event, when) in enumerate(events, start=1)
        )

    facts, in_order = folded(written), folded(DATED)
    # Consent (ruling 46) and a review entered after a later one have rules of their own, below.
    assert facts == replace(in_order, consent=facts.consent, reported=facts.reported)
    assert facts.record_version == len(DATED), "of whichever fact was recorded last"
    events = [event for event, _ in written]
    withdrawn = next(n for n, e in enumerate(events) if isinstance(e, ConsentWithdrawn))
    renewed = next(n for n, e in enumerate(events) if e == RENEWED)
    stands = withdrawn < renewed
    assert facts.consent.status is (ConsentStatus.GRANTED if stands else ConsentStatus.SUSPENDED)
    assert facts.consent.consent_id == (RENEWED if stands else GIVEN).consent_id
    assert facts.reviewed == SURGERY
    first, second = (next(n for n, e in enumerate(events) if e == one) for one in REVIEWS)
    assert (NECK in facts.reported) is (second < first), "a late review waits, it is not lost"
    assert facts.orders[0].lifted_on == TODAY


@settings(max_examples=60, deadline=None)
@for_all(st.permutations(DATED))
def test_read_tables_say_the_same_as_the_facts(written: list[tuple[Any, datetime]]) -> None:
    kinds = [type(event) for event, _ in written]
    # A review covers only what was recorded before it.
    assume(kinds.index(HistoryReported) < kinds.index(HistoryReviewed))
    tables = {
        table: MemoryRows(STREAM)
        for table in ("clients.Consent", "clients.Preference", "clients.HealthHistory")
    }
    told = []
    for version, (event, when) in enumerate(written, start=1):
        rec = recorded(event, version, when)
        told.append(rec)
        for table, rows in tables.items():
            rows.version = version
            installed.projections[table].apply(rows, rec)
    facts = facts_of(told)
    consent = tables["clients.Consent"].rows[STREAM]
    assert consent["status"] == facts.consent.status
    assert consent["consent_id"] == facts.consent.consent_id
    preference = tables["clients.Preference"].rows[STREAM]
    assert preference["gender"] == (facts.preference.gender if facts.preference else "")
    history = tables["clients.HealthHistory"].rows[STREAM]
    assert history["reviewed"] == msgspec.to_builtins(facts.reviewed)
    assert len(history["reports"]) == len(facts.reported)


def test_a_decision_is_the_same_whenever_it_is_made_again() -> None:
    state = given(TOUCH, GIVEN).state
    first = record(CONSENT)(state, context())
    assert first == record(CONSENT)(state, context())
