"""Ruling 46: a paper of the very day of a withdrawal may have been signed before it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built, ok, token_for
from tests.clients.bodies import CONSENT

SPOKEN = {"form": "spoken_with_witness", "witness": "Sam Carver", "signed_on": None}
BEFORE_NOON = "2026-03-02T11:59:00-05:00"
CODE = "consent.paper_of_that_day"


@pytest.mark.parametrize(
    ("days", "change", "told"),
    [
        (0, {}, True),
        (0, {"occurred_at": BEFORE_NOON}, False),
        (0, SPOKEN, False),
        (1, {}, False),
    ],
)
def test_a_paper_of_the_day_of_a_withdrawal_says_that_its_hour_is_not_known(
    built: Built, desk: Api, client_id: str, days: int, change: dict[str, Any], told: bool
) -> None:
    path = f"clients/{client_id}/touch-consent"
    withdrawal = {"occurred_at": "2026-03-02T10:00:00-05:00"} if change.get("occurred_at") else {}
    with clock.at(clock.now() - timedelta(days=days, hours=1)):
        earlier = Api(token_for(built.staff[Role.FRONT_DESK]))
        ok(earlier.post(f"{path}/withdrawal", withdrawal))
    given = {key: value for key, value in {**CONSENT, **change}.items() if value is not None}
    shown = ok(desk.post(path, given), 201)
    assert shown["status"] == "granted"
    assert [one["code"] for one in shown["warnings"]] == [CODE] * told
