"""Until when a red flag stands."""

from datetime import UTC, date, datetime, timedelta

import pytest

from clients.health.domain.terms import RedFlag
from sessions.calendar.domain.signs import RaisedSign

RAISED = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
CLEARED = RAISED + timedelta(hours=3)
SECOND = timedelta(seconds=1)


@pytest.mark.parametrize(
    ("at", "stands"),
    [
        (RAISED - SECOND, False),
        (RAISED, True),
        (CLEARED - SECOND, True),
        (CLEARED, False),
        (None, False),
    ],
)
def test_ruling_49_a_flag_stands_from_its_instant_until_that_of_its_clearing(at, stands):
    sign = RaisedSign(RedFlag.FEVER, RAISED, date(2026, 3, 2), cleared_at=CLEARED)
    assert sign.stands(at) is stands


@pytest.mark.parametrize(
    ("at", "stands"), [(RAISED - SECOND, False), (CLEARED, True), (None, True)]
)
def test_ruling_49_a_flag_outlives_the_day_until_it_is_cleared(at, stands):
    assert RaisedSign(RedFlag.FEVER, RAISED, date(2026, 3, 2)).stands(at) is stands
