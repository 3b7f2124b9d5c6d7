"""The log of reads and the history of changes are sealed in batches by the tick."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from django.core.management import call_command

from practice.accesslog.models import AccessEntry
from practice.accesslog.services import log_read
from practice.audit import sealing
from practice.audit.models import BatchSeal
from practice.audit.sealing import LAG, newest_seals, seal_faults, seal_new_rows
from practice.clock import clock

pytestmark = pytest.mark.django_db(transaction=True)
TABLE = "practice.AccessEntry"


def read(times: int = 1) -> None:
    for _ in range(times):
        log_read(staff_id=uuid4(), client_id=UUID(int=5), what="details", request_id="r")


def test_a_row_is_sealed_once_it_is_old_enough_and_not_before() -> None:
    now = clock.now()
    with clock.at(now):
        read()
    with clock.at(now + LAG - timedelta(seconds=1)):
        assert seal_new_rows() == 0
    with clock.at(now + LAG):
        assert seal_new_rows() == 1
        assert seal_new_rows() == 0


def test_a_young_row_keeps_back_all_that_came_after_it() -> None:
    now = clock.now()
    with clock.at(now):
        read()
    with clock.at(now - timedelta(hours=1)):
        read()  # entered later, of an earlier time
    assert seal_new_rows() == 0


def test_many_rows_make_several_seals_in_one_chain(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sealing, "LARGEST", 2)
    read(5)
    with clock.at(clock.now() + timedelta(hours=1)):
        assert seal_new_rows() == 5
    seals = BatchSeal.objects.order_by("number").values_list("number", "rows")
    assert list(seals) == [(1, 2), (2, 2), (3, 1)]
    assert list(seal_faults({})) == []


def test_the_tick_seals() -> None:
    with clock.at(clock.now() - timedelta(hours=1)):
        read(2)
    call_command("run_jobs")
    assert BatchSeal.objects.get(table=TABLE).rows == 2


def test_a_step_of_the_tick_that_fails_stops_no_job(monkeypatch: pytest.MonkeyPatch) -> None:
    from practice.jobs import hooks
    from practice.jobs.models import ScheduledJob

    def fails() -> None:
        raise OSError("the disk is full")

    monkeypatch.setattr(type(hooks.EACH_TICK), "answers", property(lambda _self: (fails,)))
    hooks.each_tick()
    monkeypatch.undo()
    call_command("run_jobs")
    assert ScheduledJob.objects.filter(status="done").exists()


def test_a_newest_seal_that_a_digest_holds_and_the_table_does_not_is_named() -> None:
    with clock.at(clock.now() - timedelta(hours=1)):
        read()
    seal_new_rows()
    held = {"2026-11-25": newest_seals()["seals"]}
    assert list(seal_faults(held)) == []
    from practice.eventstore import guards

    with guards.without_guards():
        BatchSeal.objects.all().delete()
        AccessEntry.objects.all().delete()
    assert "digest 2026-11-25" in next(iter(seal_faults(held)))
