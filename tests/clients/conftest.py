"""A practice to register clients in."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built, at, build_practice, ok
from tests.clients.bodies import CLIENT

NOON = at("2026-03-02T12:00:00-05:00")


@pytest.fixture(autouse=True)
def _noon() -> Iterator[None]:
    """The clock stands, so that dates in the tests stay where they are."""
    with clock.at(NOON):
        yield


@pytest.fixture
def built(db: None) -> Built:
    """Two facilities, four practitioners, four accounts."""
    return build_practice()


@pytest.fixture
def desk(built: Built) -> Api:
    """The front desk of the east."""
    return built.api(Role.FRONT_DESK)


@pytest.fixture
def therapist(built: Built) -> Api:
    """The physical therapist."""
    return built.api(Role.PRACTITIONER)


@pytest.fixture
def owner(built: Built) -> Api:
    """The owner."""
    return built.api(Role.OWNER)


@pytest.fixture
def client_id(desk: Api) -> str:
    """A client registered by the desk of the east."""
    return str(ok(desk.post("clients", CLIENT), 201)["id"])
