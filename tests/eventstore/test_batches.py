"""What one transaction of a rebuild takes in, and what a projected row holds."""

from __future__ import annotations

from uuid import UUID

import msgspec
import pytest
from django.db import models

from practice.audit import rebuild
from practice.eventstore.models import StreamHead
from practice.work.projection_runner import _plain_value


class Side(msgspec.Struct):
    names: tuple[str, ...]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("versions", "sizes"),
    [
        ((), []),
        ((9, 1, 1), [2, 1]),
        ((9, 9), [2]),
        ((10, 1), [1, 1]),
        ((10, 5, 1), [1, 2]),
        ((1, 1, 1, 1), [3, 1]),
        ((0, 1), [1]),
    ],
    ids=["none", "events", "over", "one long", "from nothing", "streams", "an empty one"],
)
def test_a_batch_is_full_of_events_or_of_streams(
    monkeypatch: pytest.MonkeyPatch, versions: tuple[int, ...], sizes: list[int]
) -> None:
    monkeypatch.setattr(rebuild, "BATCH_EVENTS", 10)
    monkeypatch.setattr(rebuild, "BATCH_STREAMS", 3)
    StreamHead.objects.bulk_create(
        StreamHead(stream=UUID(int=n), version=version) for n, version in enumerate(versions, 1)
    )
    assert [len(batch) for batch in rebuild.batches()] == sizes


def test_a_row_in_memory_holds_what_the_database_would_give_back() -> None:
    plain = _plain_value(models.JSONField(), Side(names=("left", "right")))
    assert plain == {"names": ["left", "right"]}
    assert _plain_value(models.IntegerField(), "7") == "7"
