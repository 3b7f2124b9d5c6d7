from datetime import timedelta
from uuid import uuid4

from django.db import DatabaseError

from practice.clock import clock
from practice.http import health
from practice.jobs.models import ScheduledJob
from tests.builders import Api, ok


def ready(monkeypatch, *, broker: bool = True):
    monkeypatch.setattr(health, "broker_answers", lambda: broker)
    return Api().get("health/ready")


def test_alive_without_a_database() -> None:
    assert ok(Api().get("health/live")) == {"status": "ok"}


def test_ready_when_all_is_there(db, monkeypatch) -> None:
    assert ok(ready(monkeypatch)) == {
        "status": "ok",
        "database": "ok",
        "broker": "ok",
        "jobs": "ok",
        "oldest_due_seconds": None,
    }


def test_a_broker_that_is_away_is_reported_but_work_goes_on(db, monkeypatch) -> None:
    shown = ok(ready(monkeypatch, broker=False))
    assert (shown["status"], shown["broker"]) == ("ok", "unreachable")


def test_late_work_is_reported_with_its_age(db, monkeypatch) -> None:
    ScheduledJob.objects.create(
        kind="reminder",
        key="k",
        subject=uuid4(),
        about=uuid4(),
        due_at=clock.now() - timedelta(hours=1),
    )
    shown = ok(ready(monkeypatch))
    assert shown["jobs"] == "late"
    assert 3600 <= shown["oldest_due_seconds"] < 3700


def test_no_database_is_503(db, monkeypatch) -> None:
    def gone(now: object) -> None:
        raise DatabaseError("gone")

    monkeypatch.setattr(health, "oldest_overdue", gone)
    answer = ready(monkeypatch)
    assert answer.status_code == 503
    assert answer.json()["database"] == "unreachable"


def test_a_broker_that_no_one_answers_for_is_unreachable() -> None:
    from practice.celery import app

    before = app.conf.broker_url
    app.conf.update(broker_url="redis://127.0.0.1:1/0")
    try:
        assert health.broker_answers() is False
    finally:
        app.conf.update(broker_url=before)
