"""A row of law counts as verified from a check that was made, never from one to come."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from practice.clock import clock
from practice.core.terms import Role
from practice.policy.models import Practice
from tests.builders import Api, Built, at, ok, refused

AGE = {"jurisdiction": "US-AL", "years": 14}
LIMIT = {
    "jurisdiction": "US-AL",
    "credential": "massage_therapist",
    "activity": "soft_tissue_work",
    "allowance": "allowed",
}
MORE = {"effective_from": "2024-01-01", "source": "made up for tests"}
TODAY, TOMORROW = {"verified_on": "2026-03-02"}, {"verified_on": "2026-03-03"}


@pytest.fixture(autouse=True)
def _evening() -> Iterator[None]:
    """2 March for the practice in New York, the 3rd by Greenwich."""
    with clock.at(at("2026-03-02T21:00:00-05:00")):
        yield


@pytest.fixture
def owner(built: Built) -> Api:
    Practice.objects.update(zone="America/New_York")
    return built.api(Role.OWNER)


@pytest.mark.parametrize(("path", "row"), [("consent-ages", AGE), ("jurisdiction-limits", LIMIT)])
def test_it_was_checked_today_at_the_latest(owner: Api, path: str, row: dict[str, object]) -> None:
    early = refused(owner.post(path, {**row, **MORE, **TOMORROW}), 400, "invalid")
    assert [error["field"] for error in early["errors"]] == ["verified_on"]
    made = ok(owner.post(path, {**row, **MORE, **TODAY}), 201)
    one = f"{path}/{made['id']}"
    refused(owner.patch(one, TOMORROW, match=1), 400, "invalid")
    assert ok(owner.get(one))["verified_on"] == "2026-03-02"
    assert ok(owner.patch(one, {"source": "read again", **TODAY}, match=1))["revision"] == 2
