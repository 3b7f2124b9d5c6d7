"""The history of a record comes in pages and opens only what a page shows."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from practice.core.terms import Role
from practice.eventstore import store
from tests.builders import Api, Built, ok, refused
from tests.sessions.people import registered
from tests.sessions.stretches.stories import days_ago, measure


@pytest.fixture
def client(built: Built) -> UUID:
    found = registered(built)
    for days, degrees in ((1, 120), (9, 121), (4, 122)):
        measure(built.api(Role.PRACTITIONER), found, degrees, occurred_at=days_ago(days))
    return found


def pages(api: Api, client: UUID, **query: Any) -> list[list[int]]:
    found, after = [], None
    while True:
        asked = {**query, **({} if after is None else {"after_version": after})}
        page = ok(api.get(f"clients/{client}/history", asked))
        assert page["total"] == 4
        found.append([one["version"] for one in page["results"]])
        after = page["next_after_version"]
        if after is None:
            return found


def test_the_pages_together_are_the_whole_in_order(built: Built, client: UUID) -> None:
    api = built.api(Role.OWNER)
    assert pages(api, client) == [[1, 2, 3, 4]]
    assert pages(api, client, page_size=3) == [[1, 2, 3], [4]]
    assert pages(api, client, page_size=2) == [[1, 2], [3, 4]]


def test_in_order_of_happening_too(built: Built, client: UUID) -> None:
    until = "2199-01-01T00:00:00Z"
    found = pages(built.api(Role.OWNER), client, page_size=3, occurred_until=until)
    assert found == [[3, 4, 2], [1]]


def test_only_the_events_of_the_page_are_opened(
    built: Built, client: UUID, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[int] = []
    real = store.decrypt

    def counting(stream: UUID, rows: Any) -> Any:
        rows = list(rows)
        opened.append(len(rows))
        return real(stream, rows)

    monkeypatch.setattr(store, "decrypt", counting)
    ok(built.api(Role.OWNER).get(f"clients/{client}/history", {"page_size": 2}))
    assert opened == [2]


@pytest.mark.parametrize(
    "query", [{"after_version": 99}, {"page_size": 1001}, {"page_size": 0}, {"after_version": 0}]
)
def test_a_page_that_cannot_be_is_400(built: Built, client: UUID, query: dict[str, int]) -> None:
    refused(built.api(Role.OWNER).get(f"clients/{client}/history", query), 400, "invalid")


def test_a_page_names_no_more_events_than_it_shows_and_one(built: Built, client: UUID) -> None:
    """However long the record is: the one more says that there is a next page."""
    api = built.api(Role.OWNER)
    with CaptureQueriesContext(connection) as caught:
        ok(api.get(f"clients/{client}/history", {"page_size": 2, "after_version": 1}))
    named = [
        one["sql"]
        for one in caught
        if "eventstore_storedevent" in one["sql"] and "ORDER BY" in one["sql"]
    ]
    assert named
    assert all("LIMIT" in sql for sql in named)
