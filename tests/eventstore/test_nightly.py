"""Once a day: the digest outside the database, old answers and orphaned keys swept."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.management import call_command

from practice.clock import clock
from practice.eventstore.digest import digest_folder, read_digests
from practice.eventstore.models import StreamHead
from practice.jobs.models import ScheduledJob
from practice.jobs.nightly import sweep_orphans
from practice.keys.models import DataKey
from practice.work.unit_of_work import new_client_stream
from tests.eventstore.toy import client

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_digest_of_a_day_is_written_by_the_tick_once() -> None:
    client()
    for _ in range(3):
        call_command("run_jobs")
    (digest,) = digest_folder().iterdir()
    assert digest.stat().st_mode & 0o077 == 0
    assert read_digests([digest]).faults == []
    assert ScheduledJob.objects.filter(kind="nightly").count() == 1


def test_a_key_whose_client_never_came_to_be_is_swept_after_a_day() -> None:
    living, orphan = client(), new_client_stream()
    assert sweep_orphans() == 0
    with clock.at(clock.now() + timedelta(days=2)):
        assert sweep_orphans() == 1
    assert DataKey.objects.filter(subject=living).exists()
    assert not DataKey.objects.filter(subject=orphan).exists()


def test_a_clients_key_under_another_name_is_no_orphan() -> None:
    hidden, headless = client(), client()
    DataKey.objects.filter(subject=hidden).update(subject=uuid4())
    StreamHead.objects.filter(stream=headless).delete()
    with clock.at(clock.now() + timedelta(days=2)):
        assert sweep_orphans() == 0
    assert DataKey.objects.count() == 3
