"""A reading with everything on costs at most ten statements, however long the stream is."""

from __future__ import annotations

import pytest

from practice.work import clock_check
from tests.bench.bars_http import lengthen
from tests.bench.statements import counted
from tests.builders import build_practice
from tests.sessions.people import open_client

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
MOST = 10


@pytest.mark.parametrize("length", [20, 150])
def test_a_reading_takes_at_most_ten_statements(length: int) -> None:
    built = build_practice()
    client_id = open_client(built)
    lengthen(built, client_id, length)
    clock_check.require_right_clock()  # Asked once a minute: not in what is counted.
    assert 5 < counted(built, client_id) <= MOST
