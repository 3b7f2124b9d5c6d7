"""Ruling 51: what is said of port and skin on arrival is judged as what is on record."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.clinical.domain.limbs import LoadedLimb
from clients.health.domain.content import Condition
from clients.health.domain.terms import ConditionKind
from clients.permissions.domain.inputs import DayQuestion, PermissionFacts
from practice.core.terms import Mode, Region, Side
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
HANDS, ALONE, NOT = Mode.HANDS_ON, Mode.SELF_DIRECTED, Mode.NOT_TODAY
PECTORAL = g.CHEST_ONE_ARM
ON_CHEST = replace(g.FLEXION, code="on_chest", contacts=(g.ContactSite(region=Region.CHEST),))
CHEST = g.site(Region.CHEST, Side.LEFT)


def ago(days: int) -> date:
    return g.DAY - timedelta(days=days)


def port(**more: Any) -> Condition:
    """A port in the left chest, long since implanted."""
    found = g.condition(ConditionKind.IMPLANTED_PORT, CHEST, since=ago(100))
    return replace(found, **more)


def with_port(condition: Condition, **answers: Any) -> PermissionFacts:
    return g.facts(
        reviewed=g.history(conditions=(condition,)),
        arrival=g.arrival(**answers) if answers else None,
    )


def left_arm(known: PermissionFacts) -> bool:
    return next(one.open for one in g.evaluated(known).load if one.limb is LoadedLimb.LEFT_ARM)


def mode(known: PermissionFacts, stretch: Any) -> Mode:
    return g.stretch_permission(known, stretch).mode


def asked(known: PermissionFacts) -> tuple[DayQuestion, ...]:
    return g.evaluated(known).questions


@pytest.mark.parametrize(
    ("said", "pulled", "touched", "load"),
    [(True, NOT, ALONE, False), (False, HANDS, HANDS, True), (None, ALONE, ALONE, False)],
)
def test_a_needle_in_the_port_today_is_judged_as_one_on_record(
    said: bool | None, pulled: Mode, touched: Mode, load: bool
) -> None:
    known = with_port(port(), needle_in_port=said)
    assert (mode(known, PECTORAL), mode(known, ON_CHEST)) == (pulled, touched)
    assert left_arm(known) is load
    assert asked(known) == ((DayQuestion.NEEDLE_IN_PORT,) if said is None else ())
    right = g.stretch_permission(known, PECTORAL, side=Side.RIGHT)
    assert right.mode is HANDS


def test_the_needle_is_planned_without_and_asked_of_clients_with_a_port_only() -> None:
    unasked = with_port(port(), needle_in_port=None)
    assert g.stretch_permission(unasked, PECTORAL).planned is HANDS
    assert left_arm(with_port(port())), "before arrival nothing of the day closes load"
    assert asked(g.facts(arrival=g.arrival())) == ()


def test_an_answer_takes_back_no_needle_that_is_on_record() -> None:
    recorded = port(accessed_from=ago(2))
    known = with_port(recorded, needle_in_port=False)
    assert mode(known, PECTORAL) is NOT
    assert asked(with_port(recorded, needle_in_port=None)) == ()
    out = port(accessed_from=ago(9), accessed_until=ago(2))
    assert mode(with_port(out, needle_in_port=True), PECTORAL) is NOT
    assert mode(with_port(out, needle_in_port=False), PECTORAL) is HANDS


def irradiated(*, seen: bool | None, **course: Any) -> PermissionFacts:
    found = g.radiation(CHEST, **{"skin_broken": None, "from_date": ago(60), **course})
    return g.facts(reviewed=g.history(radiations=(found,)), arrival=g.arrival(skin_broken=seen))


@pytest.mark.parametrize(
    ("seen", "pulled", "load"), [(True, NOT, False), (False, HANDS, True), (None, ALONE, True)]
)
@pytest.mark.parametrize("recorded", [None, False])
def test_the_look_at_irradiated_skin_today_is_judged_as_one_on_record(
    recorded: bool | None, seen: bool | None, pulled: Mode, load: bool
) -> None:
    known = irradiated(seen=seen, until_date=ago(28), skin_broken=recorded, skin_seen_on=ago(7))
    found = g.stretch_permission(known, g.CHEST_ONE_ARM)
    assert (found.mode, left_arm(known)) == (pulled, load)
    assert (found.planned is HANDS) is (seen is not True)
    assert asked(known) == ((DayQuestion.SKIN_BROKEN,) if seen is None else ())


def test_skin_on_record_as_broken_is_whole_only_once_a_history_says_so() -> None:
    known = irradiated(seen=False, skin_broken=True, skin_seen_on=ago(7))
    assert mode(known, g.CHEST_ONE_ARM) is NOT
    assert asked(irradiated(seen=None, skin_broken=True)) == ()


def test_skin_is_asked_about_until_four_weeks_after_and_later_is_no_look_of_today() -> None:
    late = irradiated(seen=False, until_date=ago(29))
    assert asked(irradiated(seen=None, until_date=ago(29))) == ()
    assert mode(late, g.CHEST_ONE_ARM) is ALONE, "nobody has ever looked"
    assert g.stretch_permission(late, g.CHEST_ONE_ARM).planned is ALONE
    assert mode(irradiated(seen=True, until_date=ago(29)), g.CHEST_ONE_ARM) is NOT


@pytest.mark.parametrize(
    ("client", "interpreter", "there"),
    [("es", "es-MX", True), ("es-MX", "es", True), ("es", "pt", False), ("", "pt", True)],
)
def test_an_interpreter_counts_in_the_language_of_the_client(
    client: str, interpreter: str, there: bool
) -> None:
    """Ruling 56."""
    wanted = replace(g.CONSENT, interpreter=True, interpreter_name="Luz Ferrer")
    known = g.facts(
        consent=wanted,
        language=client,
        arrival=g.arrival(interpreter_present=True, interpreter_language=interpreter),
    )
    found = g.evaluated(known)
    assert (found.mode is HANDS) is there
    assert ("consent.interpreter_language" in g.codes(found)) is not there
    assert UUID(int=3) == found.versions.consent_id
