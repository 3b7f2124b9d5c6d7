"""A client's history by date: kinds, days, who recorded it, pages, a page to print."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.record import by_date
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Role
from practice.eventstore import store
from tests.api.prepared import NOW, Prepared
from tests.builders import ok, refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def p() -> Iterator[Prepared]:
    """A client with a session, a note, readings, a paper and an incident."""
    with ExitStack() as stack:
        stack.enter_context(clock.at(NOW))
        made = Prepared(stack)
        made.id("visit")
        for degrees, at in ((120, "2026-03-07T23:30:00-05:00"), (130, "2026-03-08T09:00:00-04:00")):
            _reading(made, degrees, at)
        made.id("paper")
        made.id("incident")
        yield made


def _reading(p: Prepared, degrees: int, at: str) -> None:
    body = {
        "movement": "shoulder_abduction",
        "side": "left",
        "motion": "active",
        "degrees": degrees,
        "position": "sitting",
        "instrument": "goniometer",
        "occurred_at": at,
    }
    p.post(f"clients/{p.id('client')}/range-of-motion", body, Role.PRACTITIONER)


def listed(p: Prepared, **query: Any) -> list[dict[str, Any]]:
    found = p.api(Role.PRACTITIONER).get(f"clients/{p.id('client')}/history/by-date", query)
    results: list[dict[str, Any]] = ok(found)["results"]
    return results


def degrees(rows: list[dict[str, Any]]) -> list[int]:
    return [number for row in rows for number in (120, 130) if f"{number}°" in row["text"]]


def test_everything_stands_in_one_list_the_latest_happening_first(p: Prepared) -> None:
    rows = listed(p, page_size=200)
    times = [row["occurred_at"] for row in rows]
    assert times == sorted(times, reverse=True)
    kinds = {row["kind"] for row in rows}
    assert {"calendar", "notes", "measurements", "consent", "papers", "incidents"} <= kinds
    whole = ok(p.api(Role.OWNER).get(f"clients/{p.id('client')}/history"))["total"]
    assert len(rows) == whole, "nothing is left out"


def test_each_kind_holds_its_own_and_together_they_hold_all(p: Prepared) -> None:
    found = [row for kind in by_date.history_kinds() for row in listed(p, kind=kind, page_size=200)]
    assert sorted(row["version"] for row in found) == sorted(
        row["version"] for row in listed(p, page_size=200)
    )
    (paper,) = listed(p, kind="papers")
    assert paper["about"]["paper_id"] == p.id("paper")
    assert {row["kind"] for row in listed(p, kind="incidents")} == {"incidents"}
    refused(
        p.api(Role.OWNER).get(f"clients/{p.id('client')}/history/by-date", {"kind": "secrets"}),
        400,
        "invalid",
    )


def test_days_are_those_of_the_clients_calendar_on_both_sides(p: Prepared) -> None:
    """Half past eleven at night is the same day there, and the next one in UTC."""
    assert degrees(listed(p, kind="measurements")) == [130, 120]
    on = {"kind": "measurements"}
    assert degrees(listed(p, **on, **{"from": "2026-03-08"})) == [130]
    assert degrees(listed(p, **on, to="2026-03-07")) == [120]
    assert degrees(listed(p, **on, **{"from": "2026-03-07"}, to="2026-03-08")) == [130, 120]
    (row,) = listed(p, **on, to="2026-03-07")
    assert row["day"] == "2026-03-07"


def test_by_who_recorded_it(p: Prepared) -> None:
    mine = str(p.built.actor(Role.PRACTITIONER).practitioner_id)
    rows = listed(p, practitioner_id=mine, page_size=200)
    account = str(p.built.actor(Role.PRACTITIONER).id)
    assert {row["recorded_by"]["id"] for row in rows} == {account}
    assert {"notes", "measurements"} <= {row["kind"] for row in rows}
    assert "papers" not in {row["kind"] for row in rows}, "the desk asked for it"


def test_pages_follow_each_other_and_open_only_what_they_show(
    p: Prepared, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = [row["version"] for row in listed(p, page_size=200)]
    opened: list[int] = []

    def load(stream: Any, versions: Any) -> Any:
        opened.extend(versions)
        return plain(stream, versions)

    plain = store.load_versions
    monkeypatch.setattr(store, "load_versions", load)
    path, found, cursor = f"clients/{p.id('client')}/history/by-date", [], None
    while True:
        query = {"page_size": 4, **({"cursor": cursor} if cursor else {})}
        page = ok(p.api(Role.OWNER).get(path, query))
        assert len(page["results"]) <= 4
        found += [row["version"] for row in page["results"]]
        if (cursor := page["next_cursor"]) is None:
            break
    assert found == whole
    assert opened == whole


def test_a_long_page_takes_the_statements_of_a_short_one(p: Prepared) -> None:
    def statements(size: int) -> int:
        with CaptureQueriesContext(
            connection,
        ) as heard:
            listed(p, page_size=size)
        return len(heard)

    statements(2)
    assert statements(2) == statements(9)


def test_the_page_to_print_says_what_is_not_on_it(
    p: Prepared, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = f"clients/{p.id('client')}/history/printout"
    api = p.api(Role.PRACTITIONER)

    def page(**query: Any) -> str:
        answer = api.get(path, query, HTTP_ACCEPT="text/html")
        assert answer.status_code == 200
        text: str = answer.content.decode()
        return text

    whole = page(kind="measurements")
    assert whole.index("120°") < whole.index("130°"), "the earliest first"
    assert "Earlier entries are not on this page" not in whole
    assert "<td>Measurement</td>" in whole
    assert "of the kind “Measurement” alone" in whole
    assert "<td>measurements</td>" not in whole, "kinds are in plain words"
    monkeypatch.setattr(by_date, "MOST_PRINTED", 1)
    latest = page(kind="measurements")
    assert "130°" in latest
    assert "120°" not in latest
    assert "Earlier entries are not on this page" in latest


def test_each_read_is_logged_and_the_desk_reads_none(p: Prepared) -> None:
    before = AccessEntry.objects.filter(client_id=p.id("client")).count()
    listed(p)
    p.api(Role.OWNER).get(f"clients/{p.id('client')}/history/printout", HTTP_ACCEPT="text/html")
    what = AccessEntry.objects.filter(client_id=p.id("client")).values_list("what", flat=True)
    assert len(what) == before + 2
    assert {"history by date", "history by date, printed"} <= set(what)
    for end in ("by-date", "printout"):
        path = f"clients/{p.id('client')}/history/{end}"
        refused(p.api(Role.FRONT_DESK).get(path), 403, "forbidden")
