"""What the health checks say when something is missing."""

import shutil
from datetime import timedelta
from types import SimpleNamespace
from typing import Any
from uuid import uuid4

import pytest
from django.db import InterfaceError, connection

from clients.identity.models import Client
from practice.clock import Clock, clock
from practice.core.reasons import Rejected
from practice.core.terms import Role
from practice.http import health, readiness
from practice.jobs import selectors
from practice.jobs.models import ScheduledJob, TickMark
from practice.jobs.services import mark_tick
from practice.policy.models import PracticeSetting
from practice.work import clock_check
from sessions.measurements.models import Reading
from tests.builders import Api, Built, ok, refused
from tests.harness.furnishing import READING
from tests.sessions.people import open_client

GOOD: dict[str, Any] = {
    "status": "ok",
    "database": "ok",
    "broker": "ok",
    "jobs": "ok",
    "ticks": "ok",
    "disk": "ok",
    "read_tables": "ok",
    "clock": "ok",
    "oldest_due_seconds": None,
    "given_up_jobs": 0,
    "failing_jobs": 0,
    "problems": [],
    "warnings": [],
}
MB = readiness.MEGABYTE


@pytest.fixture(autouse=True)
def _looked_at_anew(monkeypatch: Any) -> None:
    monkeypatch.setattr(readiness.tables_check, "at", float("-inf"))
    monkeypatch.setattr(clock_check.last_check, "at", float("-inf"))
    free_space(monkeypatch, 5_000)


def free_space(monkeypatch: Any, megabytes: int) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=megabytes * MB))


def ready(monkeypatch: Any, *, broker: bool = True) -> Any:
    monkeypatch.setattr(health, "broker_answers", lambda: broker)
    return Api().get("health/ready")


def job(**columns: Any) -> ScheduledJob:
    values = {"kind": "reminder", "key": str(uuid4()), "subject": uuid4(), "about": uuid4()}
    return ScheduledJob.objects.create(**values | {"due_at": clock.now()} | columns)


def test_alive_without_a_database() -> None:
    assert ok(Api().get("health/live")) == {"status": "ok"}


def test_ready_when_all_is_there(db: None, monkeypatch: Any) -> None:
    mark_tick()
    shown = ok(ready(monkeypatch))
    assert shown.pop("free_megabytes") == 5_000
    assert shown == GOOD


def test_a_broker_that_is_away_is_reported_but_work_goes_on(db: None, monkeypatch: Any) -> None:
    shown = ok(ready(monkeypatch, broker=False))
    assert (shown["status"], shown["broker"]) == ("ok", "unreachable")


@pytest.mark.parametrize(("minutes", "word"), [(9, "ok"), (11, "late")])
def test_late_work_is_reported_with_its_age(
    db: None, monkeypatch: Any, minutes: int, word: str
) -> None:
    job(due_at=clock.now() - timedelta(minutes=minutes))
    shown = ok(ready(monkeypatch))
    assert shown["jobs"] == word
    assert minutes * 60 <= shown["oldest_due_seconds"] < minutes * 60 + 60


@pytest.mark.parametrize(("minutes", "word"), [(9, "ok"), (11, "missed")])
def test_a_missed_tick_is_reported_though_nothing_is_due(
    db: None, monkeypatch: Any, minutes: int, word: str
) -> None:
    assert ok(ready(monkeypatch))["ticks"] == "missed"  # There was none at all.
    TickMark.objects.create(pk=1, at=clock.now() - timedelta(minutes=minutes))
    shown = ok(ready(monkeypatch))
    assert (shown["ticks"], bool(shown["warnings"])) == (word, word == "missed")
    mark_tick()
    assert ok(ready(monkeypatch))["ticks"] == "ok"


def test_given_up_and_failing_work_is_reported(db: None, monkeypatch: Any) -> None:
    mark_tick()
    job(status=ScheduledJob.Status.GIVEN_UP)
    job(attempts=1, due_at=clock.now() + timedelta(hours=1))
    shown = ok(ready(monkeypatch))
    assert (shown["given_up_jobs"], shown["failing_jobs"], len(shown["warnings"])) == (1, 1, 2)


@pytest.mark.parametrize(
    ("megabytes", "word", "status"),
    [(1_000, "ok", 200), (999, "low", 200), (100, "low", 200), (99, "full", 503)],
)
def test_free_space_is_looked_at(
    db: None, monkeypatch: Any, megabytes: int, word: str, status: int
) -> None:
    mark_tick()
    free_space(monkeypatch, megabytes)
    answer = ready(monkeypatch)
    shown = answer.json()
    assert (answer.status_code, shown["disk"], shown["free_megabytes"]) == (status, word, megabytes)
    assert bool(shown["warnings"]) == (word == "low")
    assert bool(shown["problems"]) == (word == "full")


def test_the_threshold_of_free_space_is_a_setting(db: None, monkeypatch: Any) -> None:
    PracticeSetting.objects.filter(key="full_disk_megabytes").update(value=6_000)
    assert ready(monkeypatch).status_code == 503


def test_space_is_looked_at_where_the_files_are(settings: Any, tmp_path: Any) -> None:
    settings.VAR = tmp_path
    assert tmp_path in readiness.folders()
    assert (len(readiness.folders()) > 1) == (connection.vendor == "sqlite")


def test_an_emptied_read_table_is_not_ready(built: Built, monkeypatch: Any) -> None:
    mark_tick()
    client = open_client(built)
    assert ok(ready(monkeypatch))["read_tables"] == "ok"
    Client.objects.filter(pk=client).delete()
    assert ok(ready(monkeypatch))["read_tables"] == "ok"  # Looked at a moment ago.
    monkeypatch.setattr(readiness.tables_check, "at", float("-inf"))
    answer = ready(monkeypatch)
    assert (answer.status_code, answer.json()["read_tables"]) == (503, "emptied")
    assert "clients.Client" in answer.json()["problems"][0]


def test_a_table_that_is_empty_by_right_is_in_order(built: Built, monkeypatch: Any) -> None:
    client, api = open_client(built), built.api(Role.PRACTITIONER)
    path = f"clients/{client}/range-of-motion"
    made = ok(api.post(path, READING | {"degrees": 120}), 201)
    wrong = {"reason": "typed twice"}
    ok(api.post(f"{path}/{made['reading']['id']}/entered-in-error", wrong))
    assert not Reading.objects.exists()
    assert ok(ready(monkeypatch))["read_tables"] == "ok"


@pytest.mark.parametrize(("seconds", "word"), [(-61, "off"), (-30, "ok"), (30, "ok"), (61, "off")])
def test_a_clock_that_is_off_against_the_databases_is_reported(
    db: None, monkeypatch: Any, seconds: int, word: str
) -> None:
    mark_tick()
    monkeypatch.setattr(
        clock_check, "database_now", lambda: clock.now() - timedelta(seconds=seconds)
    )
    shown = ok(ready(monkeypatch))
    assert (shown["clock"], bool(shown["warnings"])) == (word, word == "off")


@pytest.mark.parametrize(("seconds", "word"), [(50, "ok"), (70, "off")])
def test_a_last_event_of_a_time_to_come_is_reported(
    built: Built, monkeypatch: Any, seconds: int, word: str
) -> None:
    monkeypatch.setattr(clock_check, "database_now", lambda: None)
    with clock.at(clock.now() + timedelta(seconds=seconds)):
        open_client(built)
    assert ok(ready(monkeypatch))["clock"] == word


@pytest.mark.parametrize(("minutes", "written"), [(6, False), (4, True), (-60, True)])
def test_a_process_whose_clock_runs_ahead_writes_nothing(
    built: Built, monkeypatch: Any, minutes: int, written: bool
) -> None:
    monkeypatch.setattr(
        clock_check, "database_now", lambda: clock.now() - timedelta(minutes=minutes)
    )
    answer = built.api(Role.OWNER).patch("practice", {"name": "Hillside"}, match=1)
    if written:
        ok(answer)
        return
    refused(answer, 503, "clock_ahead")
    assert int(answer["Retry-After"]) > 0


def test_a_clock_that_is_held_is_meant_to_differ(monkeypatch: Any) -> None:
    monkeypatch.setattr(clock_check, "clock_ahead", lambda: timedelta(hours=1))
    with Clock().at(clock.now()):
        clock_check.require_right_clock()
    with pytest.raises(Rejected):
        clock_check.require_right_clock()


@pytest.mark.django_db
@pytest.mark.postgresql
def test_the_database_has_a_clock_of_its_own() -> None:
    assert abs(clock_check.clock_ahead()) < timedelta(seconds=30)


def test_a_setting_that_migrate_has_not_loaded_is_named_with_its_group(
    db: None, monkeypatch: Any
) -> None:
    for group, key in (("billing", "expiring_days"), ("health", "late_minutes")):
        PracticeSetting.objects.get(group=group, key=key).delete()
        answer = ready(monkeypatch)
        assert answer.status_code == 503
        shown = answer.json()
        assert (shown["status"], shown["database"]) == ("not_ready", "ok")
        assert any(group in one and key in one for one in shown["problems"])


def test_no_database_is_503(db: None, monkeypatch: Any) -> None:
    def gone(now: object) -> None:
        raise InterfaceError("connection already closed")

    monkeypatch.setattr(selectors, "oldest_overdue", gone)
    answer = ready(monkeypatch)
    assert answer.status_code == 503
    assert answer.json()["database"] == "unreachable"
    assert answer.json().keys() == GOOD.keys() | {"free_megabytes"}


def test_a_broker_that_no_one_answers_for_is_unreachable() -> None:
    from practice.celery import app

    before = app.conf.broker_url
    app.conf.update(broker_url="redis://127.0.0.1:1/0")
    try:
        assert health.broker_answers() is False
    finally:
        app.conf.update(broker_url=before)
