"""Ruling 46: a paper of the very day of a withdrawal may have been signed before it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.builders import Api, ok
from tests.clients.bodies import CONSENT

SPOKEN = {"form": "spoken_with_witness", "witness": "Sam Carver", "signed_on": None}
CODE = "consent.paper_of_that_day"


@pytest.mark.parametrize(
    ("withdrawn_at", "change", "told"),
    [
        ("2026-03-02T00:00:00-05:00", {}, True),
        ("2026-03-01T23:59:00-05:00", {}, False),
        ("2026-03-02T10:00:00-05:00", {"occurred_at": "2026-03-02T11:59:00-05:00"}, False),
        ("2026-03-02T10:00:00-05:00", SPOKEN, False),
    ],
)
def test_a_paper_of_the_day_of_a_withdrawal_says_that_its_hour_is_not_known(
    desk: Api, client_id: str, withdrawn_at: str, change: dict[str, Any], told: bool
) -> None:
    path = f"clients/{client_id}/touch-consent"
    ok(desk.post(f"{path}/withdrawal", {"occurred_at": withdrawn_at}))
    given = {key: value for key, value in {**CONSENT, **change}.items() if value is not None}
    shown = ok(desk.post(path, given), 201)
    assert shown["status"] == "granted"
    assert [one["code"] for one in shown["warnings"]] == [CODE] * told
