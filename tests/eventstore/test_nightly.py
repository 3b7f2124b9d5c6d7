"""Once a day: the digest outside the database, old answers and orphaned keys swept."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from practice.clock import clock
from practice.eventstore.digest import check_digest
from practice.jobs.models import ScheduledJob
from practice.jobs.nightly import sweep_orphans
from practice.keys.models import DataKey
from practice.work.unit_of_work import new_client_stream
from tests.eventstore.toy import client

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_digest_of_a_day_is_written_by_the_tick_once(tmp_path: Path, settings: Any) -> None:
    settings.VAR = tmp_path
    client()
    for _ in range(3):
        call_command("run_jobs")
    (digest,) = (tmp_path / "digests").iterdir()
    assert check_digest(digest) == []
    assert ScheduledJob.objects.filter(kind="nightly").count() == 1


def test_a_key_whose_client_never_came_to_be_is_swept_after_a_day() -> None:
    living, orphan = client(), new_client_stream()
    assert sweep_orphans() == 0
    with clock.at(clock.now() + timedelta(days=2)):
        assert sweep_orphans() == 1
    assert DataKey.objects.filter(subject=living).exists()
    assert not DataKey.objects.filter(subject=orphan).exists()
