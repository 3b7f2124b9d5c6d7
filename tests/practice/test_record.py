"""Retention reckoned from the last entry; checks of the log; what stands open in a record."""

from datetime import UTC, date, datetime
from uuid import uuid4

import pytest

from practice.accesslog.models import AccessEntry
from practice.audit import hooks
from practice.audit.domain.decisions import retained_until
from practice.audit.open_business import erasure_warnings
from practice.clock import clock
from practice.core.appspec import installed
from practice.core.reasons import Reason
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from tests.builders import Built, ok, refused
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client, registered
from tests.sessions.stretches.stories import discharged, first_open


@pytest.mark.parametrize(
    ("last", "years", "until"),
    [
        (datetime(2026, 11, 25, 12, tzinfo=UTC), 6, date(2032, 11, 25)),
        (datetime(2024, 2, 29, 12, tzinfo=UTC), 4, date(2028, 2, 29)),
        (datetime(2024, 2, 29, 12, tzinfo=UTC), 6, date(2030, 2, 28)),
        (datetime(2096, 2, 29, 12, tzinfo=UTC), 4, date(2100, 2, 28)),
    ],
)
def test_retention_runs_so_many_years_after_the_last_entry(
    last: datetime, years: int, until: date
) -> None:
    assert retained_until(last, years) == until


def test_the_check_of_the_chain_counts_no_rows_and_that_of_the_tables_does(built: Built) -> None:
    owner = built.api(Role.OWNER)
    assert set(ok(owner.get("log/verification"))) == {
        "clients",
        "events",
        "faults",
        "notes",
    }
    assert set(ok(owner.get("log/comparison"))) == {"clients", "events", "rows", "faults"}


def test_every_floor_tells_what_stands_open_and_due_work_is_counted(db, monkeypatch) -> None:
    client = uuid4()
    told = Reason(code="made.up", text="Something is open.", source="tests")
    monkeypatch.setitem(
        installed.extensions,
        hooks.OPEN_BUSINESS,
        (lambda one: [told] if one == client else [],),
    )
    assert erasure_warnings(uuid4()) == []
    for number in range(2):
        ScheduledJob.objects.create(
            kind="recheck", key=str(number), subject=client, about=uuid4(), due_at=clock.now()
        )
    ScheduledJob.objects.create(
        kind="destroy_key", key="k", subject=client, about=client, due_at=clock.now()
    )
    found = erasure_warnings(client)
    assert [one.code for one in found] == ["made.up", "erasure.jobs"]
    assert "(2)" in found[1].text


def test_a_refusal_below_a_session_is_kept_with_its_client(built: Built) -> None:
    client = registered(built)
    session = book(built, client, local(3))["id"]
    refused(built.api(Role.BILLING).post(f"sessions/{session}/opening"), 403, "forbidden")
    entry = AccessEntry.objects.get(code="forbidden")
    assert str(entry.client_id) == str(client)


def test_a_refusal_on_a_stretch_or_a_re_check_is_kept_with_its_client(built: Built) -> None:
    client = open_client(built)
    prescription = discharged(built, client)["id"]
    recheck = first_open(built, client)["id"]
    api = built.api(Role.BILLING)
    for path in (f"stretches/{prescription}/resume", f"rechecks/{recheck}/skip"):
        refused(api.post(path, {"reason": "none"}), 403, "forbidden")
    kept = AccessEntry.objects.filter(outcome=AccessEntry.Outcome.REFUSED)
    assert set(kept.values_list("client_id", flat=True)) == {client}
    assert kept.count() == 2
