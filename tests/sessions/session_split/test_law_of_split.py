"""Whether the split may hold stretching by the law of the place and the day."""

from __future__ import annotations

from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any, cast
from uuid import UUID

import pytest

from clients.permissions.domain.inputs import JurisdictionLimitFacts
from practice.core.terms import Activity, Allowance, Credential
from sessions.session_split.selectors.facts import _stretching_allowed

DAY = date(2026, 3, 9)
TRAINER = Credential.PERSONAL_TRAINER


def allowed(**differs: Any) -> bool:
    """By one row of law, for a trainer's session of the day; the row says no."""
    says = {
        "id": UUID(int=1),
        "jurisdiction": "US-PA",
        "credential": TRAINER,
        "activity": Activity.EXERCISE_INSTRUCTION,
        "allowance": Allowance.NOT_ALLOWED,
        "source": "made up for tests",
        "effective_from": DAY,
        "effective_to": DAY,
    }
    case = SimpleNamespace(
        facts=SimpleNamespace(limits=(JurisdictionLimitFacts(**{**says, **differs}),))
    )
    session = SimpleNamespace(credential=TRAINER, local_date=DAY)
    return _stretching_allowed(cast(Any, session), cast(Any, case))


def test_what_the_law_bars_that_day_is_barred() -> None:
    assert not allowed()


@pytest.mark.parametrize(
    "differs",
    [
        {"credential": Credential.PHYSICAL_THERAPIST},
        {"activity": Activity.ASSISTED_STRETCHING},
        {"allowance": Allowance.UNDER_SUPERVISION},
        {"effective_from": DAY + timedelta(days=1), "effective_to": None},
        {"effective_to": DAY - timedelta(days=1)},
        {"payer_id": UUID(int=2)},
    ],
    ids=["another's", "by hand only", "supervised", "not yet", "no more", "one payer's"],
)
def test_a_row_that_says_no_such_thing_leaves_it_open(differs: dict[str, Any]) -> None:
    assert allowed(**differs)
