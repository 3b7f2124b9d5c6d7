"""Partial dates, planned operations and orders of different days (rulings 46, 47)."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.clinical.domain.fact_dates import earliest_new_day, with_late_facts
from clients.clinical.domain.facts import ClientFacts
from clients.clinical.domain.operations import known_operations
from clients.clinical.domain.orders_in_force import ClientOnDay, in_force, unsettled_restrictions
from clients.health.domain import decisions as taking_history
from clients.health.domain.commands import ReportHistory
from clients.health.domain.content import (
    BodySite,
    Condition,
    HistoryContent,
    Operation,
    Radiation,
)
from clients.health.domain.events import HistoryReported
from clients.health.domain.state import HEALTH
from clients.health.domain.terms import ConditionKind, OperationKind
from clients.identity.domain.events import ClientDetails
from clients.identity.domain.partial_dates import (
    DatePrecision,
    date_text,
    first_possible,
    of_month,
    of_year,
)
from clients.orders.domain import decisions as filing
from clients.orders.domain.commands import FileOrder, LiftOrder, NamePrecedence
from clients.orders.domain.events import OrderFiled, OrderLifted, OrderPrecedenceNamed
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.state import ORDERS
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from practice.core.events import DatedEvent
from practice.core.terms import Mode, Region, Role, Side, Technique
from tests.builders import Api, Built, ok, refused
from tests.clients.permissions import given as g
from tests.dsl import NOW, Scenario, given

replace = msgspec.structs.replace
TODAY = date(2026, 3, 2)
DETAILS = ClientDetails(
    given_name="Iris",
    family_name="Lindqvist",
    birth_date=date(1971, 4, 23),
    zone="America/New_York",
    facility_ids=(UUID(int=1),),
)
OPERATION = Operation(id=UUID(int=5), kind=OperationKind.MASTECTOMY, side=Side.LEFT)
SHOULDER = BodySite(region=Region.SHOULDER, side=Side.LEFT)


def telling(*operations: Operation, **content: Any) -> Scenario:
    command = ReportHistory(content=HistoryContent(operations=operations, **content))
    return given(HEALTH).when(lambda _s, c: taking_history.report_history(command, DETAILS, c))


def told(*operations: Operation, **content: Any) -> HistoryContent:
    [event] = telling(*operations, **content).then_kinds(HistoryReported)
    assert isinstance(event, HistoryReported)
    return event.content


# Of a partial date weeks count from the last day that can be, notes are marked from the first


def test_a_month_and_a_year_are_held_by_their_last_day_and_shown_as_they_were_told() -> None:
    assert of_month(2026, 2).last == date(2026, 2, 28)
    assert of_month(2026, 12).last == date(2026, 12, 31)
    assert of_year(2025).last == date(2025, 12, 31)
    for partial, text, first in (
        (of_month(2026, 2), "2026-02", date(2026, 2, 1)),
        (of_year(2025), "2025", date(2025, 1, 1)),
    ):
        assert date_text(*partial) == text
        assert first_possible(*partial) == first
    assert first_possible(None, DatePrecision.YEAR) is None


def test_a_month_that_is_not_over_ends_on_the_day_it_was_told() -> None:
    march = replace(OPERATION, on=date(2026, 3, 31), on_precision=DatePrecision.MONTH)
    clot = Condition(
        id=UUID(int=6),
        kind=ConditionKind.CLOT,
        since=date(2026, 12, 31),
        since_precision=DatePrecision.YEAR,
    )
    course = Radiation(
        id=UUID(int=7),
        sites=(SHOULDER,),
        from_date=date(2026, 3, 31),
        from_date_precision=DatePrecision.MONTH,
        until_date=date(2026, 3, 20),
    )
    content = told(march, conditions=(clot,), radiations=(course,))
    assert content.operations[0].on == TODAY
    assert content.conditions[0].since == TODAY
    assert content.radiations[0].from_date == TODAY
    april = replace(march, on=date(2026, 4, 30))
    telling(april).rejected("invalid", 400)


@pytest.mark.parametrize(("day", "known"), [(date(2026, 1, 31), False), (date(2026, 2, 1), True)])
def test_an_operation_of_a_month_is_known_from_its_first_day(day: date, known: bool) -> None:
    february = replace(OPERATION, on=date(2026, 2, 28), on_precision=DatePrecision.MONTH)
    client = ClientFacts(reviewed=HistoryContent(operations=(february,)))
    assert bool(known_operations(client, day)) is known


@pytest.mark.parametrize(("day", "early"), [(date(2026, 4, 24), True), (date(2026, 4, 25), False)])
def test_weeks_count_from_the_last_day_of_the_month(day: date, early: bool) -> None:
    """Eight weeks after 28 February is 25 April; the order is general, so it waits for them."""
    operation = g.healed(
        OperationKind.MASTECTOMY,
        Side.LEFT,
        date(2026, 2, 28),
        on_precision=DatePrecision.MONTH,
    )
    sites = tuple(g.site(region, Side.LEFT) for region in Region)
    order = g.clearance_order(OrderSubject.STRETCHING, sites=sites, given_on=date(2026, 3, 1))
    facts = g.facts(reviewed=g.history(operations=(operation,)), orders=(order,), day=day)
    verdict = g.stretch_permission(facts, g.FLEXION, Technique.CONTRACT_RELAX, Side.LEFT)
    assert ("surgery.weeks" in g.codes(verdict)) is early


# Planned operations


@pytest.mark.parametrize(
    ("on", "precision", "planned", "taken"),
    [
        (date(2026, 3, 2), DatePrecision.DAY, False, True),
        (date(2026, 3, 3), DatePrecision.DAY, False, False),
        (date(2026, 3, 3), DatePrecision.DAY, True, True),
        (date(2026, 3, 2), DatePrecision.DAY, True, True),
        (date(2026, 3, 1), DatePrecision.DAY, True, False),
        (date(2026, 3, 31), DatePrecision.MONTH, True, True),
        (None, DatePrecision.DAY, True, False),
    ],
)
def test_only_a_plan_lies_ahead_and_it_has_a_day(
    on: date | None, precision: DatePrecision, planned: bool, taken: bool
) -> None:
    scenario = telling(replace(OPERATION, on=on, on_precision=precision, planned=planned))
    if taken:
        [event] = scenario.then_kinds(HistoryReported)
        assert isinstance(event, HistoryReported)
        assert event.content.operations[0].on == on, "a plan is not cut to today"
    else:
        assert set(scenario.rejected("invalid", 400).fields or {}) == {"operations.0.on"}


@pytest.mark.parametrize(("day", "closed"), [(date(2026, 3, 9), False), (date(2026, 3, 10), True)])
def test_from_its_day_on_a_planned_operation_leaves_nothing_by_hand(
    day: date, closed: bool
) -> None:
    planned = replace(OPERATION, on=date(2026, 3, 10), planned=True)
    found = g.evaluated(g.facts(reviewed=g.history(operations=(planned,)), day=day))
    assert ("surgery.planned" in g.codes(found)) is closed
    assert (found.mode is Mode.HANDS_ON) is not closed


# Facts that were reported later


def test_a_fact_is_new_by_what_happened_and_when_not_by_how_it_heals() -> None:
    january = replace(OPERATION, on=date(2026, 1, 10))
    before = ClientFacts(reviewed=HistoryContent(operations=(january,)))

    def reaching(*operations: Operation) -> date | None:
        content = HistoryContent(operations=operations)
        return earliest_new_day(HistoryReported(report_id=UUID(int=1), content=content), before)

    assert reaching(january) is None
    assert reaching(replace(january, incision_healed=True, text="well")) is None
    assert reaching(replace(january, side=Side.RIGHT)) == date(2026, 1, 10)
    assert reaching(replace(january, on=date(2026, 1, 9))) == date(2026, 1, 9)
    month = replace(january, on=date(2026, 1, 31), on_precision=DatePrecision.MONTH)
    assert reaching(january, month) == date(2026, 1, 1)
    assert reaching(OPERATION) is None, "without a date it reaches back to nothing"


def test_what_was_known_then_takes_in_only_the_dated_facts_of_what_is_known_now() -> None:
    dated, undated = replace(OPERATION, on=date(2026, 1, 10)), replace(OPERATION, id=UUID(int=6))
    now = ClientFacts(
        reviewed=HistoryContent(operations=(dated, undated)), birth_date=date(1971, 4, 23)
    )
    reviewed = HistoryContent(usual_pain=2)
    found = with_late_facts(ClientFacts(reviewed=reviewed), now)
    assert found.reviewed == replace(reviewed, operations=(dated,))
    assert found.birth_date == now.birth_date
    nothing = with_late_facts(ClientFacts(), now)
    assert nothing.reviewed is None, "a report frees nothing"
    assert nothing.reported == (HistoryContent(operations=(dated,)),)


# Orders of different days


RESTRICTION = MedicalOrder(
    id=UUID(int=21),
    kind=OrderKind.RESTRICTION,
    prescriber=Prescriber.SURGEON,
    prescriber_name="the surgeon",
    given_on=date(2026, 2, 1),
    sites=(SHOULDER,),
)
CLEARANCE = replace(
    RESTRICTION,
    id=UUID(int=22),
    kind=OrderKind.CLEARANCE,
    given_on=date(2026, 2, 2),
    subjects=(OrderSubject.STRETCHING,),
)
FILED = (OrderFiled(order=CLEARANCE), OrderFiled(order=RESTRICTION))


def unsettled(*orders: MedicalOrder) -> bool:
    known = ClientOnDay(ClientFacts(orders=orders), TODAY, g.settings().operation_regions)
    return bool(list(unsettled_restrictions(known)))


def test_a_restriction_older_than_a_clearance_of_the_same_is_unsettled() -> None:
    assert unsettled(RESTRICTION, CLEARANCE)
    assert not unsettled(RESTRICTION, replace(CLEARANCE, given_on=RESTRICTION.given_on))
    right = BodySite(region=Region.SHOULDER, side=Side.RIGHT)
    assert not unsettled(RESTRICTION, replace(CLEARANCE, sites=(right,)))
    about_curls = replace(RESTRICTION, subjects=(OrderSubject.CURLS,))
    assert not unsettled(about_curls, CLEARANCE)
    passive = replace(RESTRICTION, techniques=(Technique.PASSIVE,))
    assert not unsettled(passive, replace(CLEARANCE, techniques=(Technique.CONTRACT_RELAX,)))
    assert not unsettled(replace(RESTRICTION, stands_against=(CLEARANCE.id,)), CLEARANCE)
    assert not unsettled(replace(RESTRICTION, lifted_on=TODAY), CLEARANCE)


def test_it_closes_and_says_so_until_somebody_names_which_stands() -> None:
    facts = g.facts(orders=(RESTRICTION, CLEARANCE))
    found = g.evaluated(facts, g.FLEXION)
    assert "order.unsettled" in {one.code for one in found.warnings}
    left = g.stretch_permission(facts, g.FLEXION, side=Side.LEFT)
    assert left.mode is not Mode.HANDS_ON


def naming(stands: OrderKind, *events: Any, **changes: Any) -> Scenario:
    values: dict[str, Any] = {
        "restriction_id": RESTRICTION.id,
        "clearance_id": CLEARANCE.id,
        "stands": stands,
        "named_by": "Paula",
        "reason": "asked the surgeon",
        **changes,
    }
    command = NamePrecedence(**values)
    return given(ORDERS, *(events or FILED)).when(
        lambda s, c: filing.name_precedence(s, command, "America/New_York", c)
    )


def test_naming_the_clearance_ends_the_restriction_and_naming_it_keeps_it() -> None:
    [event] = naming(OrderKind.CLEARANCE).then_kinds(OrderPrecedenceNamed)
    orders = {one.id: one for one in given(ORDERS, *FILED, event).state.orders}
    assert orders[RESTRICTION.id].lifted_on == TODAY
    naming(OrderKind.CLEARANCE, *FILED, event).rejected("already_lifted", 409)
    [event] = naming(OrderKind.RESTRICTION).then_kinds(OrderPrecedenceNamed)
    orders = {one.id: one for one in given(ORDERS, *FILED, event).state.orders}
    assert orders[RESTRICTION.id].lifted_on is None
    assert orders[RESTRICTION.id].stands_against == (CLEARANCE.id,)
    naming(OrderKind.RESTRICTION, *FILED, event).then()
    naming(OrderKind.CLEARANCE, clearance_id=RESTRICTION.id).rejected("not_found", 404)
    naming(OrderKind.CLEARANCE, restriction_id=CLEARANCE.id).rejected("not_found", 404)
    same_day = OrderFiled(order=replace(CLEARANCE, given_on=RESTRICTION.given_on))
    naming(OrderKind.CLEARANCE, same_day, FILED[1]).rejected("not_a_later_clearance", 409)


def test_a_restriction_counts_from_the_first_instant_of_its_day() -> None:
    command = FileOrder(
        kind=OrderKind.RESTRICTION,
        prescriber=Prescriber.SURGEON,
        prescriber_name="the surgeon",
        given_on=TODAY,
    )

    def filed_at(command: FileOrder) -> datetime:
        decided = (
            given(ORDERS)
            .when(lambda _s, c: filing.file_order(command, DETAILS, clearance_days=180, ctx=c))
            .decided
        )
        assert decided is not None
        [found] = decided
        assert isinstance(found, DatedEvent)
        return found.occurred_at

    assert filed_at(command) == datetime(2026, 3, 2, 5, 0, tzinfo=UTC)
    assert filed_at(replace(command, from_date=date(2026, 2, 20))).date() == date(2026, 2, 20)
    later = replace(command, kind=OrderKind.CLEARANCE, subjects=(OrderSubject.WORK_AFTER_CLOT,))
    assert filed_at(later) == NOW, "what widens does not count before it is here"
    earlier = replace(RESTRICTION, from_date=date(2026, 1, 20))
    assert in_force(earlier, date(2026, 1, 20))
    assert not in_force(earlier, date(2026, 1, 19))
    assert not in_force(replace(CLEARANCE, from_date=date(2026, 1, 20)), date(2026, 2, 1))


def test_a_lift_of_another_day_is_not_dropped_in_silence() -> None:
    def lift(order: MedicalOrder, day: date) -> Scenario:
        command = LiftOrder(order_id=order.id, lifted_by="the surgeon", lifted_on=day)
        lifted = OrderLifted(
            order_id=order.id, kind=order.kind, lifted_on=date(2026, 2, 20), lifted_by="x"
        )
        return given(ORDERS, *FILED, lifted).when(
            lambda s, c: filing.lift_order(s, command, "America/New_York", c)
        )

    for order in (RESTRICTION, CLEARANCE):
        lift(order, date(2026, 2, 20)).then()
        lift(order, date(2026, 2, 21)).rejected("already_lifted", 409)
    lift(RESTRICTION, date(2026, 2, 19)).rejected("already_lifted", 409)
    lift(CLEARANCE, date(2026, 2, 19)).then_kinds(OrderLifted)


def test_only_an_evaluating_practitioner_names_which_order_stands(
    built: Built, therapist: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/orders"
    paper = {
        "prescriber": "surgeon",
        "prescriber_name": "Dr. Amara Whitfield",
        "sites": [{"region": "shoulder", "side": "left"}],
    }
    first = {**paper, "kind": "restriction", "given_on": "2026-02-01"}
    later = {
        **paper,
        "kind": "clearance",
        "given_on": "2026-02-02",
        "subjects": ["stretching"],
    }
    ok(therapist.post(path, later), 201)
    listed = ok(therapist.post(path, first), 201)["results"]
    ids = {one["kind"]: one["id"] for one in listed}
    naming = f"{path}/{ids['restriction']}/precedence"
    body = {"clearance_id": ids["clearance"], "stands": "restriction", "reason": "asked"}
    paula = built.staff[Role.PRACTITIONER].practitioner
    assert paula is not None
    paula.credential = "massage_therapist"
    paula.save()
    refused(therapist.post(naming, body), 403, "may_not_evaluate")
    paula.credential = "occupational_therapist"
    paula.save()
    shown = {one["kind"]: one for one in ok(therapist.post(naming, body))["results"]}
    assert shown["restriction"]["stands_against"] == [ids["clearance"]]
    cleared = ok(therapist.post(naming, {**body, "stands": "clearance"}))["results"]
    [restriction] = [one for one in cleared if one["kind"] == "restriction"]
    assert (restriction["lifted_on"], restriction["lifted_by"]) == ("2026-03-02", "Paula")


@pytest.mark.parametrize("wrong", ["2026-13", "20", "2026-1", "1899", "2026-02-30", 2026])
def test_a_date_is_a_day_a_month_or_a_year(desk: Api, client_id: str, wrong: Any) -> None:
    sent = {"operations": [{"kind": "mastectomy", "side": "left", "on": wrong}]}
    answer = desk.post(f"clients/{client_id}/health-history", sent)
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == ["operations.0.on"]


@pytest.mark.parametrize("known", ["2025-09-01", "2025-09", "2025"])
def test_a_date_is_shown_as_far_as_it_is_known(desk: Api, client_id: str, known: str) -> None:
    path = f"clients/{client_id}/health-history"
    told = {
        "operations": [{"kind": "mastectomy", "side": "left", "on": known}],
        "conditions": [{"kind": "cording", "since": known}],
        "radiations": [
            {
                "sites": [{"region": "chest", "side": "left"}],
                "from_date": known,
                "until_date": "2025-12",
            }
        ],
    }
    ok(desk.post(path, told), 201)
    [report] = ok(desk.get(path))["reports"]
    content = report["content"]
    assert content["operations"][0]["on"] == known
    assert content["conditions"][0]["since"] == known
    shown = content["radiations"][0]
    assert (shown["from_date"], shown["until_date"]) == (known, "2025-12")
    assert "on_precision" not in content["operations"][0]
