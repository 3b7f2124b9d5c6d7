"""The toy stream for every test of the log."""

from collections.abc import Iterator

import pytest

from tests.eventstore import toy


@pytest.fixture(autouse=True)
def _toy_is_known() -> Iterator[None]:
    with toy.registered():
        yield
