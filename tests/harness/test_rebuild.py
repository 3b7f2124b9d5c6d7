"""Several processes rebuild the same rows as one."""

import pytest

from practice.audit import rebuild
from sessions.calendar.models import Session
from sessions.measurements.models import Reading
from tests.harness.furnishing import furnished
from tests.harness.world import database_url

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]


def test_two_processes_make_every_row_again(monkeypatch: pytest.MonkeyPatch) -> None:
    furnished()
    before = set(Session.objects.values_list("pk", flat=True))
    Session.objects.all().delete()
    Reading.objects.update(degrees=1)
    assert rebuild.compare().differences
    monkeypatch.setenv("DATABASE_URL", database_url())
    done = rebuild.rebuild(processes=2)
    assert done.streams == 2
    assert rebuild.compare().differences == []
    assert set(Session.objects.values_list("pk", flat=True)) == before
