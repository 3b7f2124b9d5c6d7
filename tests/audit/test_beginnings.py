"""What must stand before anything else: the practice's own key, the time of a unit."""

from __future__ import annotations

import time
from uuid import UUID

import pytest
from django.apps import apps
from django.db.models.signals import post_migrate

from practice.eventstore.store import every_row
from practice.keys.canary import keys_fault
from practice.keys.keystore import PRACTICE_SUBJECT, keys_alias
from practice.keys.models import DataKey
from practice.work.unit_of_work import unit_of_work
from tests.dsl import DESK
from tests.eventstore.toy import client, registered

pytestmark = pytest.mark.django_db(transaction=True)


class NoPlaces:
    """Nobody's time and no room."""

    ids: frozenset[UUID] = frozenset()

    def lock(self) -> None:
        """Nothing to wait for."""


def test_after_every_migrate_the_practice_has_its_own_key() -> None:
    config = apps.get_app_config("keys")
    DataKey.objects.using(keys_alias()).filter(subject=PRACTICE_SUBJECT).delete()
    assert keys_fault() is not None
    post_migrate.send(sender=config, app_config=config)
    assert keys_fault() is None


def test_the_time_of_a_unit_is_read_after_its_last_lock() -> None:
    with registered():
        one = client()
        with unit_of_work(actor=DESK, request_id="later") as uow:
            uow.lock(one)
            first = uow.now
            assert uow.now == first
            time.sleep(0.01)
            uow.lock(places=NoPlaces())
            assert uow.now > first


@pytest.mark.postgresql
def test_postgresql_gives_the_whole_log_or_one_stream() -> None:
    with registered():
        one, other = client(), client()
        assert {UUID(bytes=bytes(row.stream)) for row in every_row()} == {one, other}
        assert {UUID(bytes=bytes(row.stream)) for row in every_row(one)} == {one}
