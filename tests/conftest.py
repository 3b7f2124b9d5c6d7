"""What every test has: the engine under test, the real Redis, the length of the harnesses.

``PYTEST_DB_SUFFIX`` names a test database of one's own on a shared PostgreSQL server.
``PRACTICE_TEST_CLOCK`` is the instant from which the clock goes on.
Tests marked for the other engine, for Redis where ``REDIS_URL`` is unset, or for the
long harnesses are deselected, and the closing lines say how many and why.
"""

from __future__ import annotations

import os
import tempfile
from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
import pytest_django
from django.conf import settings as django_settings
from django.db import connections

from tests import sharing

FULL = os.environ.get("PRACTICE_FULL_HARNESS") == "1"
SUFFIX = os.environ.get("PYTEST_DB_SUFFIX", "")
CLOCK = os.environ.get("PRACTICE_TEST_CLOCK", "")
DATABASE_FIXTURES = frozenset({"db", "transactional_db", "live_server"})
_left_out: Counter[str] = Counter()


def engine_of_settings() -> str:
    """``sqlite`` or ``postgresql``."""
    return (
        "sqlite"
        if django_settings.DATABASES["default"]["ENGINE"].endswith("sqlite3")
        else "postgresql"
    )


def pytest_configure(config: pytest.Config) -> None:
    from hypothesis import HealthCheck, settings  # Not before pytest has seen to its plugin.

    # How long an example takes says how busy the machine is, not whether the program is right.
    settings.register_profile(
        "untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow]
    )
    settings.load_profile("untimed")
    if CLOCK:
        # Every reading of the time, ours and the libraries'; modules are collected by it too.
        import time_machine

        travel = time_machine.travel(datetime.fromisoformat(CLOCK), tick=True)
        travel.start()
        config.add_cleanup(travel.stop)
    # Argon2 takes a tenth of a second a password on purpose; here hundreds of people sign in.
    # tests/tooling checks that the program's own settings name argon2 first.
    from practice.celery import app

    if not django_settings.REDIS_URL:
        # Wakes go nowhere: tests of workers are marked ``redis``.
        app.conf.update(broker_url="memory://")
    django_settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def _asks_an_engine(item: pytest.Item) -> bool:
    """Whether a test touches a database or real processes; one run of a pure one is enough."""
    marked = any(item.get_closest_marker(mark) for mark in ("django_db", "redis", "postgresql"))
    return marked or not DATABASE_FIXTURES.isdisjoint(getattr(item, "fixturenames", ()))


def _reason_to_leave_out(item: pytest.Item) -> str | None:
    engine = engine_of_settings()
    other = "postgresql" if engine == "sqlite" else "sqlite"
    if item.get_closest_marker(other):
        return f"for {other} only"
    if engine != "sqlite" and (item.get_closest_marker("once") or not _asks_an_engine(item)):
        return "touch no database: once, on sqlite"
    if item.get_closest_marker("harness") and engine == "sqlite" and not FULL:
        return "harnesses whose short form runs on PostgreSQL (both engines with --full)"
    if item.get_closest_marker("redis") and not django_settings.REDIS_URL:
        return "need REDIS_URL (python3 manage.py test starts a Redis)"
    if item.get_closest_marker("full") and not FULL:
        return "long harnesses (python3 manage.py test --full)"
    return None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    kept: list[pytest.Item] = []
    dropped: list[pytest.Item] = []
    for item in items:
        reason = _reason_to_leave_out(item)
        if reason:
            _left_out[reason] += 1
        (dropped if reason else kept).append(item)
    items[:] = sharing.shared(kept)
    config.hook.pytest_deselected(items=dropped)


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item, nextitem: pytest.Item | None) -> bool | None:
    """Another process runs the test where it took the file first."""
    if sharing.mine(item):
        return None
    # What the test before has left standing for this one.
    item.session._setupstate.teardown_exact(nextitem)
    return True


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if CLOCK:
        terminalreporter.write_line(f"the clock began at {CLOCK}")
    for reason, count in _left_out.items():
        terminalreporter.write_line(f"left out on {engine_of_settings()}: {count} {reason}")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings: None) -> Iterator[None]:
    """SQLite tests run on a file, as the program does (WAL, locks); names keep runs apart."""
    with tempfile.TemporaryDirectory(prefix="practice-tests-") as folder:
        for alias in connections:
            name = f"test_{alias}{'_' * bool(SUFFIX)}{SUFFIX}"
            if engine_of_settings() == "sqlite":
                name = str(Path(folder) / f"{name}.sqlite3")
            connections[alias].settings_dict["TEST"]["NAME"] = name
        yield


@pytest.fixture(scope="session")
def engine() -> str:
    """The engine under test: ``sqlite`` or ``postgresql``."""
    return engine_of_settings()


@pytest.fixture(scope="session")
def redis_url() -> str:
    """The address of the real Redis; its tests are marked ``redis``."""
    assert django_settings.REDIS_URL, "mark the test with @pytest.mark.redis"
    return django_settings.REDIS_URL


@pytest.fixture(scope="session")
def full_harness() -> bool:
    """Whether the long harnesses were asked for (``manage.py test --full``)."""
    return FULL


@pytest.fixture(autouse=True)
def _nothing_outside_the_database_is_shared(
    settings: Any, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Digests and the list of erasures are those of one test; the folders need not exist."""
    folder = tmp_path_factory.getbasetemp() / uuid4().hex
    settings.PRACTICE_DIGESTS = str(folder / "digests")
    settings.PRACTICE_ERASURES = str(folder / "erasures.jsonl")


@pytest.fixture(autouse=True)
def _no_day_is_a_holiday(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The calendar of tests that take their days from today meets no public holiday by chance;
    those that ask for them are marked ``holidays``."""
    if request.node.get_closest_marker("holidays") is None:
        from sessions.calendar.selectors import facilities

        monkeypatch.setattr(facilities, "public_holiday", lambda *_: None)


@pytest.fixture(scope="session")
def django_db_setup(
    django_db_setup: None, django_db_blocker: pytest_django.DjangoDbBlocker
) -> Iterator[None]:
    """A test that commits ends with the rows that the migrations had left."""
    from django.test import TransactionTestCase

    from tests.migrated_rows import MigratedRows

    case_class: Any = TransactionTestCase  # The stubs do not show its private methods.
    flush = case_class._fixture_teardown
    with django_db_blocker.unblock():
        migrated = [MigratedRows(alias) for alias in connections]

    def teardown(case: TransactionTestCase) -> None:
        for one in migrated:
            one.restore()

    case_class._fixture_teardown = teardown
    yield
    case_class._fixture_teardown = flush
