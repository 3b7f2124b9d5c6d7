"""What a process keeps of the practice's rows: a change by whatever means is seen by the next."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from django.db import connection, transaction

from practice.policy import stamps
from practice.policy.models import PRACTICE_ID, Practice, PracticeSetting
from practice.work import request_cache
from practice.work.models import PracticeStamp
from practice.work.request_cache import caching, invalidate, memoize, read_stamp
from sessions.calendar.selectors.facilities import zone_of
from tests.builders import Built

pytestmark = pytest.mark.django_db(transaction=True)
EAST, WEST = "America/New_York", "America/Los_Angeles"


def zone_in_a_request() -> str:
    with caching():
        return zone_of(None)


def moved(zone: str) -> None:
    Practice.objects.filter(pk=PRACTICE_ID).update(zone=zone)


def test_every_table_of_the_practice_has_its_triggers(built: Built) -> None:
    assert stamps.unstamped() == []
    assert {
        "practice_practicesetting",
        "practice_facility",
        "practice_openinghours",
        "practice_staff_facilities",
        "practice_licence",
    } <= set(stamps.stamped_tables())


def test_each_kind_of_change_sets_another_stamp_and_a_read_sets_none(built: Built) -> None:
    row = PracticeSetting.objects.all()[0]
    seen = [read_stamp()]
    assert zone_in_a_request()
    assert read_stamp() == seen[0]
    row.save()
    seen.append(read_stamp())
    row.delete()
    seen.append(read_stamp())
    row.save(force_insert=True)
    seen.append(read_stamp())
    built.staff["owner"].facilities.set([built.west])
    seen.append(read_stamp())
    assert len({*seen, None}) == len(seen) + 1


def test_what_did_not_change_is_read_once_for_many_requests(built: Built) -> None:
    asked: list[int] = []

    def read() -> str:
        asked.append(1)
        return "read"

    def once() -> list[str]:
        with caching():
            return [memoize("test once", read) for _ in range(2)]

    assert once() == once() == once()
    assert len(asked) == 1
    moved(WEST)
    once()
    assert len(asked) == 2


def test_a_change_past_the_program_is_seen_by_the_next_request(built: Built) -> None:
    before = zone_in_a_request()
    other = WEST if before != WEST else EAST
    with connection.cursor() as cursor:
        cursor.execute("UPDATE practice_practice SET zone = %s", [other])
    assert zone_in_a_request() == other


@pytest.mark.parametrize("known", [True, False], ids=["by the program", "past the program"])
def test_a_change_that_is_rolled_back_leaves_nothing_behind(built: Built, known: bool) -> None:
    before = Practice.objects.get(pk=PRACTICE_ID).zone
    other = WEST if before != WEST else EAST

    def fail() -> None:
        with caching(), transaction.atomic():
            memoize("test first", str)  # The stamp is read here.
            moved(other)
            if known:
                invalidate()
            assert zone_of(None) == other
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert zone_in_a_request() == before


def test_without_a_stamp_everything_is_read(built: Built) -> None:
    PracticeStamp.objects.all().delete()
    answers = iter(("one", "two"))
    for answer in ("one", "two"):
        with caching():
            assert memoize("test unstamped", lambda: next(answers)) == answer


def test_triggers_that_were_dropped_are_missed_and_installed_again(built: Built) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("ALTER TABLE practice_licence DISABLE TRIGGER practice_rows_changed")
        else:
            cursor.execute("DROP TRIGGER practice_rows_changed_practice_licence_UPDATE")
    (found,) = stamps.check_stamps(databases=["default"])
    assert "practice_licence" in found.msg
    stamps.install()
    assert stamps.check_stamps(databases=["default"]) == []


def test_a_process_keeps_no_more_than_its_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(request_cache, "_kept", {})
    monkeypatch.setattr(request_cache, "KEPT_VALUES", 3)
    for number in range(10):
        with caching():
            assert request_cache.memoize(number, lambda: "read") == "read"
        assert len(request_cache._kept) <= 3
    assert ("default", 9) in request_cache._kept


def test_a_stamp_that_was_read_before_stands() -> None:
    with caching():
        memory = request_cache._memory.get()
        assert memory is not None
        first = memory.stamp()
        request_cache.go_by("another")
        assert memory.stamp() == first == request_cache.read_stamp()


@pytest.mark.postgresql
def test_a_change_while_a_unit_waits_for_its_lock_is_what_it_decides_by(built: Built) -> None:
    from practice.work.unit_of_work import unit_of_work
    from tests.dsl import DESK
    from tests.eventstore.toy import SHELF, client, registered

    with registered():
        one = client()
        before = zone_in_a_request()
        other = WEST if before != WEST else EAST
        decided: list[str] = []
        has_read = threading.Event()

        def decide(states: Any, context: Any) -> list[Any]:
            decided.append(zone_of(None))
            return []

        def work() -> None:
            try:
                with unit_of_work(actor=DESK, request_id="waiting") as uow:
                    assert zone_of(None) == before  # What is read before the lock is forgotten.
                    has_read.set()
                    uow.execute(one, (SHELF,), decide)
            finally:
                connection.close()

        from practice.eventstore import store

        with transaction.atomic():
            store.lock_heads([one])
            waiting = threading.Thread(target=work)
            waiting.start()
            assert has_read.wait(30)
            waiting.join(0.5)
            assert waiting.is_alive()
            assert not decided
            moved(other)
        waiting.join(30)
        assert decided == [other]
