"""Ruling 59: a day is calculated by the payer's rules of that day; and correcting a rule is one
act that shows first what it changes."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from billing.authorizations.domain.events import AuthorizationAmended, VisitOverridden
from billing.authorizations.domain.terms import CoverageStatus, UncoveredReason
from billing.authorizations.models import Visit
from billing.payers.domain.periods import RulePeriod, changed_from
from billing.payers.domain.rules import PayerRules, VisitDefinition
from billing.visits.domain.rule_corrections import (
    CorrectedPeriod,
    correct_visits,
    corrected_visits,
    version_of,
)
from practice.accesslog.models import AccessEntry
from practice.audit.rebuild import compare
from practice.core.terms import SessionPart
from sessions.notes.domain.events import AddendumAdded, NotePartMinutes
from tests.billing.practice_rows import note_on, sign
from tests.billing.streams import (
    CARDIO,
    DAY,
    PT,
    STRENGTH,
    STRETCHING,
    TRAINER,
    Stream,
    named,
    payer_rules,
    terms,
)
from tests.billing.world import World
from tests.builders import NOBODY_KNOWS, ok, refused

CHANGED = DAY + timedelta(days=6)


def changed_codes(**changes: Any) -> PayerRules:
    """Stretching is code S up to the 7th of the month and N from the 8th on."""
    before = payer_rules(until=CHANGED)
    codes = {**before.codes, (STRETCHING, PT): "N"}
    return payer_rules(revision=2, codes=codes, earlier=(before,), **changes)


@pytest.mark.parametrize(
    ("day", "code"), [(CHANGED - timedelta(days=1), "S"), (CHANGED, "N"), (date(2026, 5, 1), "N")]
)
def test_a_day_is_calculated_by_the_codes_of_that_day(day: date, code: str) -> None:
    stream = Stream(changed_codes())
    stream.authorize()
    assert stream.sign({STRETCHING: 30}, day=day).used_units == {code: 2}


def test_a_map_changed_on_the_8th_does_not_re_code_a_visit_of_the_7th() -> None:
    stream = Stream()
    stream.authorize()
    day = CHANGED - timedelta(days=1)
    stream.sign({STRETCHING: 30}, day=day)
    stream.payers = {named("payer"): changed_codes()}
    (again,) = stream.correct("note", {STRETCHING: 45})
    assert again.used_units == {"S": 3}
    assert again.billable_units is not None
    assert again.billable_units.units == {"S": 3}


RULES = {"unit_rule": "u", "group_code": ""}


@pytest.mark.parametrize(
    ("first", "expected"),
    [
        (date(2026, 3, 8), [("", date(2026, 3, 8)), ("G", None)]),
        (date(2026, 3, 1), [("", date(2026, 3, 1)), ("G", None)]),
    ],
)
def test_changed_rules_hold_from_a_day_on(
    first: date, expected: list[tuple[str, date | None]]
) -> None:
    made = changed_from([RulePeriod(RULES)], {"group_code": "G"}, first)
    assert [(one.rules["group_code"], one.until) for one in made] == expected


def test_a_correction_of_earlier_days_keeps_what_else_changed_later() -> None:
    periods = [RulePeriod(RULES, date(2026, 3, 8)), RulePeriod({**RULES, "unit_rule": "v"})]
    made = changed_from(periods, {"group_code": "G"}, date(2026, 3, 1))
    assert [(one.rules, one.until) for one in made] == [
        (RULES, date(2026, 3, 1)),
        ({"unit_rule": "u", "group_code": "G"}, date(2026, 3, 8)),
        ({"unit_rule": "v", "group_code": "G"}, None),
    ]


def test_a_change_on_the_day_of_the_last_one_takes_its_place() -> None:
    periods = [RulePeriod(RULES, date(2026, 3, 8)), RulePeriod({**RULES, "group_code": "X"})]
    made = changed_from(periods, {"group_code": "G"}, date(2026, 3, 8))
    assert [(one.rules["group_code"], one.until) for one in made] == [
        ("", date(2026, 3, 8)),
        ("G", None),
    ]
    assert changed_from(periods, {"group_code": ""}, date(2026, 3, 8)) == [RulePeriod(RULES)]
    made = changed_from(periods, {"unit_rule": "v"}, date(2026, 3, 8))
    assert [(one.rules["unit_rule"], one.until) for one in made] == [
        ("u", date(2026, 3, 8)),
        ("v", None),
    ]


def corrected(stream: Stream, rules: PayerRules, **bounds: date) -> list[Any]:
    stream.payers = {rules.payer_id: rules}
    period = CorrectedPeriod(rules.payer_id, **bounds)
    return corrected_visits(stream.authorization_balance, period, stream.payers)


def test_a_corrected_rule_concerns_the_visits_that_it_makes_otherwise() -> None:
    stream = Stream(payer_rules(paid_credentials=frozenset({PT})))
    stream.authorize()
    stream.sign({STRETCHING: 30}, note="paid")
    day = DAY + timedelta(days=1)
    trained = stream.sign({STRENGTH: 30}, note="trained", day=day, credential=TRAINER)
    assert trained.uncovered_reasons == (UncoveredReason.CREDENTIAL_NOT_PAID,)
    rules = payer_rules(revision=2, paid_credentials=frozenset({PT, TRAINER}))
    (found,) = corrected(stream, rules)
    assert (found.before.used_units, found.after.used_units) == ({}, {"T": 2})
    assert corrected(stream, rules, last=DAY) == []
    assert corrected(stream, rules, first=day) == [found]
    assert corrected(stream, rules, first=day + timedelta(days=1)) == []
    stream.add(*correct_visits([found], "the payer's letter"))
    assert stream.used() == (2, 4, 0, 60)
    (why,) = [one.data for one in stream.events if isinstance(one.data, VisitOverridden)]
    assert (why.payer_revision, why.reason) == (2, "the payer's letter")
    assert corrected(stream, rules) == []


def test_a_corrected_rule_covers_nothing_for_which_room_appeared_meanwhile() -> None:
    """Ruling 39: nothing is covered by itself."""
    stream = Stream()
    authorization = stream.authorize(visits=1)
    stream.sign({STRETCHING: 30}, note="one")
    stream.sign({STRETCHING: 30}, note="two", day=DAY + timedelta(days=1))
    stream.add(AuthorizationAmended(authorization_id=authorization, terms=terms(), reason="more"))
    assert corrected(stream, payer_rules(revision=2, name="Renamed")) == []


def test_what_one_visit_gives_back_is_not_given_away_twice() -> None:
    stream = Stream()
    stream.authorize(units=4)
    for number in range(2):
        stream.sign({STRETCHING: 30}, note=f"{number}", day=DAY + timedelta(days=number))
    codes = {**payer_rules().codes, (CARDIO, PT): "S"}
    by_session = payer_rules(revision=2, codes=codes, visit_definition=VisitDefinition.SESSION)
    found = corrected(stream, by_session)
    assert [one.after.covered for one in found] == [CoverageStatus.COVERED] * 2
    assert version_of(found) != version_of(found[:1])
    assert version_of(found) == version_of(reversed(found))
    stream.add(*correct_visits(found, "by session"))
    assert stream.used() == (2, 4, 0, 60)


@pytest.fixture
def world(db: None) -> World:
    return World()


def codes_from(world: World, first: str, code: str = "NEW15") -> Any:
    """Stretching by therapists has another code from a day on."""
    if not ok(world.owner.get("service-codes"))["results"]:
        raise AssertionError("the world has codes")
    known = {one["code"] for one in ok(world.owner.get("service-codes"))["results"]}
    if code not in known:
        body = {"code": code, "description": "stretching, new", "timed": True}
        ok(world.owner.post("service-codes", body), 201)
    services = [
        {**one, "code": code} if one["part"] == "stretching" else one
        for one in ok(world.owner.get(f"payers/{world.payer.pk}"))["services"]
    ]
    body = {"services": services, "in_force_from": first}
    return ok(world.billing.change(f"payers/{world.payer.pk}", body))


@pytest.mark.django_db
def test_over_http_a_change_of_the_8th_leaves_the_7th_as_it_was(world: World) -> None:
    world.authorize()
    note = note_on(5)  # 7 March
    sign(world.client_id, note)
    changed = codes_from(world, "2026-03-08")
    (past,) = changed["past_rules"]
    assert past["until"] == "2026-03-08"
    assert "STR15" in {one["code"] for one in past["services"]}
    addendum = AddendumAdded(
        addendum_id=NOBODY_KNOWS,
        note_id=note.note_id,
        session_id=note.session_id,
        practitioner_id=note.practitioner_id,
        text="Less.",
        corrected_minutes=(NotePartMinutes(part=SessionPart.STRETCHING, minutes=20),),
    )
    sign(world.client_id, addendum)  # type: ignore[arg-type]
    world.sign(6, stretching=30)
    used = list(Visit.objects.order_by("local_date").values_list("used_units", flat=True))
    assert used == [{"STR15": 1}, {"NEW15": 2}]
    assert codes_from(world, "2026-03-08") == changed


@pytest.mark.django_db
def test_a_payers_rules_change_from_today_where_no_day_is_said(world: World) -> None:
    body = {"visit_definition": "session"}
    changed = ok(world.billing.change(f"payers/{world.payer.pk}", body))
    (past,) = changed["past_rules"]
    assert (past["visit_definition"], changed["visit_definition"]) == ("calendar_day", "session")
    renamed = ok(world.billing.change(f"payers/{world.payer.pk}", {"name": "Other"}))
    assert renamed["past_rules"] == changed["past_rules"]
    body = {"name": "Third", "in_force_from": "2026-03-08"}
    refused(world.billing.change(f"payers/{world.payer.pk}", body), 400, "invalid")


@pytest.mark.django_db
@pytest.mark.parametrize(("code", "timed"), [("GRP", False), ("STR15", None), ("NONE", None)])
def test_the_code_of_groups_is_an_untimed_one_in_use(
    world: World, code: str, timed: bool | None
) -> None:
    if timed is not None:
        body = {"code": code, "description": "group", "timed": timed}
        ok(world.owner.post("service-codes", body), 201)
    answer = world.billing.change(f"payers/{world.payer.pk}", {"group_code": code})
    if timed is None:
        refused(answer, 400, "invalid")
    else:
        assert ok(answer)["group_code"] == "GRP"


@pytest.mark.django_db
def test_correcting_a_rule_shows_the_changes_and_then_makes_them_in_one_act(world: World) -> None:
    world.authorize()
    world.sign(0)
    world.sign(5)
    first, world.client_id = world.client_id, world.register(world.built.east.pk)
    world.authorize()
    world.sign(5)
    path = f"payers/{world.payer.pk}/corrections"
    assert ok(world.billing.get(path))["visits"] == []
    empty = {"version": "0" * 64, "reason": "x"}
    refused(world.billing.post(path, empty), 409, "nothing_to_recalculate")
    codes_from(world, "2026-03-07")
    before = AccessEntry.objects.count()
    shown = ok(world.billing.get(path))
    assert AccessEntry.objects.count() == before + 2
    assert {one["client_id"] for one in shown["visits"]} == {str(first), str(world.client_id)}
    assert [
        (one["before"]["used_units"], one["after"]["used_units"]) for one in shown["visits"]
    ] == [({"STR15": 2}, {"NEW15": 2})] * 2
    assert Visit.objects.filter(used_units={"STR15": 2}).count() == 3  # nothing is changed yet
    refused(world.billing.post(path, empty), 409, "changes_moved_on")
    one_day = ok(world.billing.get(path, {"to": "2026-03-06"}))
    assert one_day["visits"] == []
    body = {"version": shown["version"], "reason": "the payer's letter"}
    assert ok(world.billing.post(path, body)) == shown
    assert Visit.objects.filter(used_units={"NEW15": 2}).count() == 2
    assert compare().differences == []
    refused(world.billing.post(path, body), 409, "nothing_to_recalculate")
    texts = ok(world.owner.get(f"clients/{first}/history"))["results"]
    assert any("the payer's letter" in one["text"] for one in texts)


@pytest.mark.django_db
def test_more_visits_than_one_act_takes_are_asked_for_in_fewer_days(world: World) -> None:
    world.authorize()
    world.sign(0)
    world.sign(1)
    path = f"payers/{world.payer.pk}/corrections"
    (setting,) = [
        one
        for one in ok(world.owner.get("settings"))["results"]
        if one["key"] == "recalculated_visits"
    ]
    where = f"settings/{setting['id']}"
    value = {"value": 1, "citation": "practice policy"}
    ok(world.owner.patch(where, value, match=setting["revision"]))
    refused(world.billing.get(path), 409, "too_many_visits")
    ok(world.billing.get(path, {"from": "2026-03-03"}))
    refused(world.billing.get(f"payers/{NOBODY_KNOWS}/corrections"), 404, "not_found")
