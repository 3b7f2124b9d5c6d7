"""A restored backup brings an erased person back; the list outside the database does not forget."""

from __future__ import annotations

import json
from io import StringIO
from typing import Any
from uuid import UUID

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command

from practice.audit import rebuild
from practice.audit.erasure_list import list_path, read_list
from practice.audit.verification import verify_log
from practice.core.terms import Role
from practice.eventstore import guards
from practice.eventstore.models import StoredEvent, StreamHead
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from practice.keys.keystore import KeyDestroyedError, keystore
from practice.keys.models import DataKey
from practice.work.models import ReadTable
from tests.builders import Built, build_practice, ok, refused, seal_practice
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db(transaction=True)
KEPT = (StoredEvent, StreamHead, DataKey, ScheduledJob)


@pytest.fixture
def built() -> Built:
    return build_practice()


def backup() -> dict[type[Any], list[Any]]:
    return {model: list(model._default_manager.all()) for model in KEPT}


def restore(saved: dict[type[Any], list[Any]]) -> None:
    """The database as it was, then the read tables from it, as the README says."""
    with guards.without_guards():
        for model in apps.get_models():
            if model in KEPT or issubclass(model, ReadTable):
                model._default_manager.all().delete()
        for model, rows in saved.items():
            model._default_manager.bulk_create(rows)
    keystore.invalidate()
    rebuild.rebuild()


def erase(built: Built, client: UUID) -> None:
    owner, hands = built.api(Role.OWNER), built.api(Role.PRACTITIONER)
    ok(owner.post(f"clients/{client}/erasure", {"reason": "asked", "before_retention": True}))
    ok(hands.post(f"clients/{client}/erasure/approval"))
    run_due_jobs()


def test_the_drill_of_a_restored_backup(built: Built) -> None:
    client, other = open_client(built), open_client(built)
    saved = backup()
    erase(built, client)
    seal_practice()
    assert verify_log().faults == []
    restore(saved)
    ok(built.api(Role.OWNER).get(f"clients/{client}"))
    (fault,) = verify_log().faults
    assert str(client) in fault
    assert "apply_erasures" in fault
    said = StringIO()
    call_command("apply_erasures", stdout=said)
    assert "1 applied now" in said.getvalue()
    refused(built.api(Role.OWNER).get(f"clients/{client}"), 410, "record_erased")
    with pytest.raises(KeyDestroyedError):
        keystore.of(client)
    ok(built.api(Role.OWNER).get(f"clients/{other}"))
    shown = ok(built.api(Role.OWNER).get(f"clients/{client}/erasure"))
    assert shown["state"] == "key_destroyed"
    assert shown["approved_by"] == str(built.staff[Role.PRACTITIONER].pk)
    run_due_jobs()
    assert verify_log().faults == []
    assert rebuild.compare().differences == []
    call_command("apply_erasures", stdout=(again := StringIO()))
    assert "0 applied now" in again.getvalue()


def test_keys_that_were_restored_by_themselves_are_destroyed_again(built: Built) -> None:
    client = open_client(built)
    saved = list(DataKey.objects.all())
    erase(built, client)
    seal_practice()
    DataKey.objects.all().delete()
    DataKey.objects.bulk_create(saved)
    keystore.invalidate()
    assert any("lives" in one for one in verify_log().faults)
    call_command("apply_erasures", stdout=StringIO())
    assert verify_log().faults == []


def test_the_list_is_written_before_the_key_goes(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = open_client(built)

    def full(*_: Any) -> None:
        raise OSError("no space left on device")

    monkeypatch.setattr("practice.audit.services.list_erasure", full)
    erase(built, client)
    assert DataKey.objects.get(subject=client).destroyed_at is None
    monkeypatch.undo()
    ScheduledJob.objects.filter(subject=client).update(due_at="2020-01-01T00:00:00Z")
    run_due_jobs()
    assert DataKey.objects.get(subject=client).destroyed_at is not None
    assert set(read_list().entries) == {client}
    assert list_path().stat().st_mode & 0o077 == 0


def test_a_list_that_is_gone_shortened_or_changed_is_named(built: Built) -> None:
    clients = [open_client(built) for _ in range(3)]
    for client in clients:
        erase(built, client)
    seal_practice()
    lines = list_path().read_text().splitlines(keepends=True)
    assert len(lines) == 3
    assert verify_log().faults == []
    for damaged in ("", "".join(lines[:2]), "".join([lines[0], lines[2]])):
        list_path().write_text(damaged)
        assert verify_log().faults
    first = json.loads(lines[0])
    first["body"] = first["body"].replace(str(clients[0]), str(UUID(int=9)))
    list_path().write_text(json.dumps(first) + "\n" + "".join(lines[1:]))
    assert any("line 1" in one for one in verify_log().faults)
    with pytest.raises(CommandError, match="line 1"):
        call_command("apply_erasures", stdout=StringIO())
    list_path().unlink()
    assert len(verify_log().faults) == 3
    list_path().write_text("".join(lines))
    assert verify_log().faults == []
