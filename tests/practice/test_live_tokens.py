"""Which token opens the record, and which page a cursor leads to."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from practice.core.terms import Role
from practice.people_and_places.models.staff import AccessToken, Staff
from tests.builders import Api, Built, ok, refused, token_for

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
SECOND = timedelta(seconds=1)


@pytest.mark.parametrize(
    ("expires_at", "revoked_at", "live"),
    [
        (NOON + SECOND, None, True),
        (NOON, None, False),
        (NOON - SECOND, None, False),
        (NOON + SECOND, NOON - SECOND, False),
    ],
    ids=["before its end", "at its end", "after it", "revoked"],
)
def test_a_token_is_live_before_its_end_and_unrevoked(
    expires_at: datetime, revoked_at: datetime | None, live: bool
) -> None:
    assert AccessToken(expires_at=expires_at, revoked_at=revoked_at).is_live(NOON) is live


def test_a_live_token_of_a_closed_account_opens_nothing(built: Built) -> None:
    desk = built.staff[Role.FRONT_DESK]
    api = Api(token_for(desk))
    ok(api.get("rooms"))
    Staff.objects.filter(pk=desk.pk).update(is_active=False)
    refused(api.get("rooms"), 401, "not_signed_in")


def test_a_cursor_goes_on_where_the_page_ended_with_any_page_size(built: Built) -> None:
    api = built.api(Role.OWNER)
    for number in range(4):
        ok(api.change(f"facilities/{built.east.pk}", {"name": f"East {number}"}))
    every = [row["id"] for row in ok(api.get("setting-changes"))["results"]]
    first = ok(api.get("setting-changes", {"page_size": "1"}))
    cursor = first["next_cursor"]
    for size in (1, 2, len(every) - 1):
        page = ok(api.get("setting-changes", {"page_size": str(size), "cursor": cursor}))
        assert [row["id"] for row in page["results"]] == every[1 : 1 + size]
        assert (page["next_cursor"] is None) is (size == len(every) - 1)
