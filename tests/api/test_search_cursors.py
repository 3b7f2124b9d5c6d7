"""The cursor of a search fits only the search that it was given for."""

import pytest

from practice.core.terms import Role
from tests.builders import Built, ok, refused
from tests.sessions.people import registered

pytestmark = pytest.mark.django_db


def test_a_cursor_is_bound_to_the_body_that_was_searched(built: Built) -> None:
    for name in ("Rosa", "Rosalind", "Rosemarie"):
        registered(built, name=name)
    desk = built.api(Role.FRONT_DESK)
    first = ok(desk.post("clients/search?page_size=1", {"name": "ros"}))
    cursor = first["next_cursor"]
    query = f"clients/search?page_size=1&cursor={cursor}"
    second = ok(desk.post(query, {"name": "ros"}))
    assert second["results"][0]["id"] != first["results"][0]["id"]
    refused(desk.post(query, {"name": "rosa"}), 400, "invalid_cursor")
    refused(desk.post(query, {"birth_date": "1970-05-04"}), 400, "invalid_cursor")


@pytest.mark.parametrize("since", ["0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59"])
def test_an_instant_that_no_calendar_holds_in_utc_is_400(built: Built, since: str) -> None:
    refused(built.api(Role.OWNER).get("access-log", {"since": since}), 400, "invalid")
