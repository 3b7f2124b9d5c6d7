"""Many reads of one moment."""

from __future__ import annotations

import pytest
from django.db import connection, connections

from practice.eventstore.snapshot import snapshot


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_a_snapshot_may_be_the_first_that_a_process_reads():
    opened = vars(connections["default"])
    connection.close()
    opened.pop("transaction_mode", None)  # As in a process that has read nothing yet.
    with snapshot(), connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        assert cursor.fetchone() == (1,)
    assert opened["transaction_mode"] == "IMMEDIATE"
