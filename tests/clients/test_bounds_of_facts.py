"""Where a client's facts begin and end: days that cannot be, numbers that are none, exceptions."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from rest_framework import serializers

from clients.clinical.domain.fact_dates import earliest_new_day
from clients.clinical.domain.facts import ClientFacts
from clients.consent.domain import decisions as consenting
from clients.consent.domain.commands import RecordConsent
from clients.consent.domain.events import ConsentDocumentation, ConsentScope
from clients.consent.domain.terms import ConsentMethod
from clients.health.domain.content import BodySite, HistoryContent, Operation
from clients.health.domain.events import HistoryReported
from clients.health.domain.terms import OperationKind
from clients.health.fields import NumberField
from clients.identity.domain.events import ClientDetails
from clients.identity.fields import PartialDateField
from clients.orders.domain import decisions as filing_orders
from clients.orders.domain.commands import LiftOrder
from clients.orders.domain.event_texts import precedence_named
from clients.orders.domain.events import OrderFiled, OrderPrecedenceNamed
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.state import ORDERS
from clients.orders.domain.terms import OrderKind, Prescriber
from clients.preference.domain.events import (
    PreferenceExceptionAgreed,
    PreferenceStated,
    StatedPreference,
)
from clients.preference.domain.state import PREFERENCE
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import Gender, Region, Side, Technique
from tests.dsl import NOW, given, recorded

TODAY = date(2026, 3, 2)
ZONE = "America/New_York"
WOMEN = PreferenceStated(
    preference=StatedPreference(scope=PreferenceScope.ALL_WORK, gender=Gender.WOMAN)
)
EXCEPTION = PreferenceExceptionAgreed(
    exception_id=UUID(int=8), practitioner_id=UUID(int=9), until=TODAY, agreed_how="asked"
)


def at(hours: int) -> datetime:
    return NOW - timedelta(hours=hours)


@pytest.mark.parametrize(
    ("told", "counts"),
    [
        (((WOMEN, at(5)), (EXCEPTION, at(4))), 1),
        (((WOMEN, at(5)), (EXCEPTION, at(4)), (WOMEN, at(3))), 0),
        (((WOMEN, at(3)), (EXCEPTION, at(4))), 0),
        (((EXCEPTION, at(4)),), 0),
    ],
)
def test_an_exception_counts_against_the_preference_it_was_agreed_to_and_no_later_one(
    told: Any, counts: int
) -> None:
    assert len(given(PREFERENCE, *told).state.exceptions) == counts


def test_several_new_facts_reach_back_to_the_first_of_them() -> None:
    operations = tuple(
        Operation(id=UUID(int=day), kind=OperationKind.MASTECTOMY, side=Side.LEFT, on=on)
        for day, on in ((1, date(2026, 1, 20)), (2, date(2026, 1, 10)), (3, date(2026, 2, 1)))
    )
    told = HistoryReported(report_id=UUID(int=1), content=HistoryContent(operations=operations))
    assert earliest_new_day(told, ClientFacts()) == date(2026, 1, 10)


@pytest.mark.parametrize(("signed", "taken"), [(TODAY, True), (TODAY - timedelta(days=1), False)])
def test_nobody_consents_before_they_are_born(signed: date, *, taken: bool) -> None:
    command = RecordConsent(
        scope=ConsentScope(
            sites=(BodySite(region=Region.SHOULDER, side=Side.LEFT),),
            techniques=(Technique.ACTIVE_ISOLATED,),
        ),
        obtained=ConsentDocumentation(form=ConsentMethod.PAPER, language="en"),
        signed_on=signed,
    )
    details = ClientDetails(given_name="Iris", family_name="Lind", birth_date=TODAY, zone=ZONE)
    told = given(ORDERS).when(
        lambda _state, ctx: consenting.record_consent(
            command, details, days=365, ages=(18,), ctx=ctx
        )
    )
    fields = set(told.refusal.fields or ()) if told.refusal else set()
    assert ("signed_on" not in fields) is taken


@pytest.mark.parametrize(("days", "taken"), [(0, True), (1, False)])
def test_an_order_is_lifted_today_and_not_in_the_future(days: int, *, taken: bool) -> None:
    order = MedicalOrder(
        id=UUID(int=4),
        kind=OrderKind.RESTRICTION,
        prescriber=Prescriber.SURGEON,
        prescriber_name="the surgeon",
        given_on=date(2026, 2, 20),
    )
    lift = LiftOrder(order_id=order.id, lifted_on=TODAY + timedelta(days=days), lifted_by="surgeon")
    told = given(ORDERS, OrderFiled(order=order)).when(
        lambda state, ctx: filing_orders.lift_order(state, lift, ZONE, ctx)
    )
    if taken:
        assert len(told.events) == 1
    else:
        assert "lifted_on" in (told.rejected("invalid", 400).fields or {})


@pytest.mark.parametrize("stands", [OrderKind.CLEARANCE, OrderKind.RESTRICTION])
def test_the_history_says_which_of_two_orders_stands(stands: OrderKind) -> None:
    event = OrderPrecedenceNamed(
        restriction_id=UUID(int=1),
        clearance_id=UUID(int=2),
        stands=stands,
        named_on=TODAY,
        named_by="Ada",
        reason="asked",
    )
    assert f"the {stands.value} stands" in precedence_named(event, recorded(event))


@pytest.mark.parametrize("value", ["48", True, False, None, [], float("inf"), float("nan")])
def test_what_is_no_number_is_none(value: Any) -> None:
    with pytest.raises(serializers.ValidationError):
        NumberField().run_validation(value)


@pytest.mark.parametrize("value", [48, 0, -1.5])
def test_a_number_of_json_is_taken(value: float) -> None:
    assert NumberField().run_validation(value) == value


@pytest.mark.parametrize(
    ("text", "taken"),
    [("1899", False), ("1900", True), ("2200", True), ("2201", False), ("1899-12", False)],
)
def test_a_year_alone_lies_where_a_day_may_lie(text: str, *, taken: bool) -> None:
    if taken:
        assert PartialDateField().run_validation(text).last.year == int(text)
    else:
        with pytest.raises(serializers.ValidationError):
            PartialDateField().run_validation(text)
