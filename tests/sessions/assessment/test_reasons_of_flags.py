"""A session that narrowed says why it is no more than it is, by what closes it now."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from practice.clock import clock
from practice.core.terms import Role, Technique
from practice.jobs.services import run_due_jobs
from practice.policy.hooks import notify_settings_changed
from sessions.calendar.models import Session
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import WELL, book
from tests.sessions.people import doing, open_client

pytestmark = pytest.mark.django_db
ARM = {"regions": [{"region": "arm", "side": "both"}]}
TECHNIQUES = {"techniques": [one.value for one in Technique]}


@pytest.fixture
def built() -> Built:
    return build_practice()


def soon(built: Built, client: UUID, *, arrived: bool) -> str:
    """The address of a session in five minutes."""
    start = (clock.now() + timedelta(minutes=5)).isoformat()
    path = f"sessions/{book(built, client, start)['id']}"
    if arrived:
        ok(built.api(Role.FRONT_DESK).post(f"{path}/arrival", WELL))
    return path


def withdraw(built: Built, client: UUID, part: dict[str, Any]) -> None:
    path = f"clients/{client}/touch-consent/withdrawal"
    ok(built.api(Role.FRONT_DESK).post(path, part))


def codes(reasons: list[dict[str, str]]) -> list[str]:
    return [one["code"] for one in reasons]


@pytest.mark.parametrize("role", [Role.FRONT_DESK, Role.PRACTITIONER])
@pytest.mark.parametrize("arrived", [False, True])
def test_a_session_narrowed_after_it_was_judged_says_why_in_its_reasons(
    built: Built, arrived: bool, role: Role
) -> None:
    client = open_client(built)
    path = soon(built, client, arrived=arrived)
    assert ok(built.api(role).get(path))["reasons"] == []
    withdraw(built, client, {})
    shown = ok(built.api(role).get(path))
    assert (shown["mode"], shown["flagged"]) == ("self_directed", True)
    assert codes(shown["reasons"]) == ["consent.withdrawn"]
    assert shown["flag_reasons"] == shown["reasons"]


def test_what_stays_hands_on_in_part_needs_no_reason_for_being_no_more(built: Built) -> None:
    client = open_client(built)
    path = soon(built, client, arrived=True)
    withdraw(built, client, ARM)
    shown = ok(built.api(Role.PRACTITIONER).get(path))
    assert (shown["mode"], shown["hands_on"], shown["reasons"]) == ("hands_on", "part", [])
    assert codes(shown["flag_reasons"]) == ["consent.narrowed"]


@pytest.mark.parametrize("arrived", [False, True])
@pytest.mark.parametrize("part", [ARM, TECHNIQUES], ids=["a region", "every technique"])
def test_a_full_withdrawal_after_a_partial_one_is_what_is_told(
    built: Built, part: dict[str, Any], arrived: bool
) -> None:
    client = open_client(built)
    path, own = soon(built, client, arrived=arrived), built.api(Role.PRACTITIONER)
    withdraw(built, client, part)
    withdraw(built, client, {})
    shown = ok(own.get(path))
    assert codes(shown["reasons"])[0] == "consent.withdrawn"
    assert codes(shown["flag_reasons"])[0] == "consent.withdrawn"
    assert {code for one in shown["narrowed"] for code in codes(one["reasons"])} == {
        "consent.withdrawn"
    }


def test_what_was_told_of_all_that_closes_it_is_not_flagged_again(built: Built) -> None:
    client = open_client(built)
    path = soon(built, client, arrived=False)
    withdraw(built, client, TECHNIQUES)
    withdraw(built, client, {})
    version = Session.objects.get(pk=path.partition("/")[2]).version
    doing(built, notify_settings_changed)
    run_due_jobs()
    withdraw(built, client, ARM)
    assert Session.objects.get(pk=path.partition("/")[2]).version == version
