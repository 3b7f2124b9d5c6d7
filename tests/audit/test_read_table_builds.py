"""A read table that older rows do not fill is said to be due, until a rebuild has filled it.

The rows of a practice from before an update are played: rows without what the table has gained,
and no word of how they were made, as an update finds them.
"""

from __future__ import annotations

import io
import json
from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest
from django.core.management import call_command
from django.db import connection

from clients.identity.models import Client, ClientSearchCode
from practice.audit import rebuild
from practice.core.appspec import installed
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent
from practice.http import health, readiness
from practice.jobs.services import mark_tick
from practice.work.models import ReadTableBuild
from practice.work.read_table_builds import rebuilds_due
from sessions.calendar.models import Session
from tests.audit import pinned_tables
from tests.builders import Api, Built, build_practice, ok
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client, registered

database = pytest.mark.django_db(transaction=True)
CODES = "clients.ClientSearchCode"


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> Built:
    monkeypatch.setattr(readiness.tables_check, "at", float("-inf"))
    monkeypatch.setattr(health, "broker_answers", lambda: True)
    return build_practice()


def migrated(*given: str) -> str:
    """What ``migrate`` says."""
    said = io.StringIO()
    call_command("migrate", *given, stdout=said)
    return said.getvalue()


def before_the_search_codes(client_id: UUID) -> None:
    """Rows of a client as an update to the search finds them."""
    ClientSearchCode.objects.filter(client_id=client_id).delete()
    ReadTableBuild.objects.filter(table=CODES).delete()


@database
def test_a_new_practice_needs_no_rebuild(built: Built) -> None:
    assert rebuilds_due() == []
    open_client(built)
    assert rebuilds_due() == []
    assert "rebuild" not in migrated()


@database
def test_clients_from_before_the_search_are_said_to_be_missed_until_a_rebuild(
    built: Built,
) -> None:
    client, _ = open_client(built), registered(built, name="Zeno")
    desk = built.api(Role.FRONT_DESK)
    mark_tick()
    name = Client.objects.get(pk=client).given_name
    before_the_search_codes(client)
    asked = {"name": name}
    assert ok(desk.post("clients/search", asked))["results"] == []

    assert f"A rebuild is due:\n  {CODES} (its rows were never made as a whole)" in migrated()
    shown = ok(Api().get("health/ready"))
    assert (shown["status"], shown["read_tables"]) == ("ok", "rebuild_due")
    assert [one for one in shown["warnings"] if CODES in one and "manage.py rebuild" in one]

    call_command("rebuild", stdout=io.StringIO())
    assert ok(Api().get("health/ready"))["read_tables"] == "ok"
    assert "rebuild" not in migrated()
    (found,) = ok(desk.post("clients/search", asked))["results"]
    assert found["id"] == str(client)


@database
def test_a_column_that_a_table_gained_is_named(built: Built) -> None:
    open_client(built)
    build = ReadTableBuild.objects.get(table="client_sessions.Session")
    build.columns.remove("overruled")
    build.columns.remove("local_end_date")
    build.columns.append("gone_since")
    build.save()
    assert rebuilds_due() == ["client_sessions.Session (older rows lack local_end_date, overruled)"]
    assert rebuild.rebuild().differences == []
    assert rebuilds_due() == []


@database
def test_a_column_that_a_table_lost_asks_for_nothing(built: Built) -> None:
    open_client(built)
    build = ReadTableBuild.objects.get(table=CODES)
    build.columns.append("gone_since")
    build.save()
    assert rebuilds_due() == []


@database
def test_rows_that_are_made_in_another_way_are_due(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_client(built)
    monkeypatch.setattr(installed.projections[CODES], "version", 2)
    assert rebuilds_due() == [f"{CODES} (its rows are made in another way now)"]
    rebuild.rebuild()
    assert rebuilds_due() == []


@database
def test_a_rebuild_that_could_not_read_a_client_leaves_it_due(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    before_the_search_codes(open_client(built))
    monkeypatch.setattr(rebuild, "read_streams", lambda heads: rebuild.ReadableStreams({}, ["x"]))
    rebuild.rebuild()
    assert rebuilds_due() == [f"{CODES} (its rows were never made as a whole)"]


@database
def test_the_check_alone_makes_nothing_anew(built: Built) -> None:
    open_client(built)
    ReadTableBuild.objects.filter(table=CODES).delete()
    rebuild.compare()
    assert len(rebuilds_due()) == 1


@database
def test_migrate_without_words_says_nothing(built: Built) -> None:
    before_the_search_codes(open_client(built))
    said = io.StringIO()
    call_command("migrate", stdout=said, verbosity=0)
    assert said.getvalue() == ""
    assert len(rebuilds_due()) == 1


@database
def test_a_log_that_has_no_event_yet_is_made_as_a_whole(built: Built) -> None:
    assert not StoredEvent.objects.exists()
    ReadTableBuild.objects.all().delete()
    migrated()
    assert rebuilds_due() == []


def nights(built: Built) -> list[UUID]:
    """Sessions by day, and one over midnight, of more than a batch of the migration."""
    return [UUID(book(built, open_client(built), local(3 + one))["id"]) for one in range(3)]


@database
def test_sessions_from_before_the_update_get_the_day_of_their_last_moment(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    sessions = nights(built)
    late = Session.objects.get(pk=sessions[0])
    # Over midnight, and one that ends with its day: what the rule must tell apart.
    begins = late.starts_at.replace(hour=3, minute=30) + timedelta(days=1)
    Session.objects.filter(pk=late.pk).update(
        starts_at=begins, ends_at=begins + timedelta(hours=2), zone="America/New_York"
    )
    until = begins.replace(hour=0, minute=0) + timedelta(days=3)
    Session.objects.filter(pk=sessions[1]).update(
        starts_at=until - timedelta(hours=1), ends_at=until, zone="Etc/UTC"
    )
    migrated("client_sessions", "0010_travel_times", "--verbosity", "0")
    try:
        with connection.cursor() as cursor:
            cursor.execute("UPDATE client_sessions_session SET local_end_date = NULL")
        from importlib import import_module

        step = import_module("sessions.migrations.0011_last_local_days")
        monkeypatch.setattr(step, "BATCH", 2)
    finally:
        migrated("client_sessions", "--verbosity", "0")
    days = dict(Session.objects.values_list("pk", "local_end_date"))
    assert days[sessions[0]] == begins.date()
    assert days[sessions[1]] == until.date() - timedelta(days=1)
    assert days[sessions[2]] == Session.objects.get(pk=sessions[2]).local_date


@pytest.mark.django_db
def test_no_row_is_without_the_day_of_its_last_moment() -> None:
    """An absence asks for it: a row without would be left out in silence."""
    assert not Session._meta.get_field("local_end_date").null


def test_rows_of_events_on_record_are_made_as_they_were_or_a_rebuild_is_said_to_be_due() -> None:
    pinned = json.loads(pinned_tables.PINNED.read_text())
    now = pinned_tables.as_made_now()
    for table, pin in now.items():
        assert pinned_tables.unsaid(pinned.get(table, pin), pin) == [], (
            f"{table} makes other rows of these: raise `version=` of its projection"
        )
    assert pinned == json.loads(json.dumps(now)), "run `python -m tests.audit`"


@pytest.mark.parametrize(
    ("changed", "named"),
    [
        ({}, ["a.v1"]),
        ({"version": 2}, []),
        ({"columns": ["id", "new"]}, []),
        ({"columns": []}, ["a.v1"]),
    ],
)
def test_what_is_said_of_rows_that_changed(changed: dict[str, Any], named: list[str]) -> None:
    pinned = {"version": 1, "columns": ["id"], "made": {"a.v1": "1", "b.v1": "1"}}
    now = {**pinned, "made": {"a.v1": "2", "b.v1": "1", "c.v1": "3"}, **changed}
    assert pinned_tables.unsaid(pinned, now) == named
