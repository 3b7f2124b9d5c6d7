import pytest

from tests.builders import Built, build_practice


@pytest.fixture
def built(db) -> Built:
    return build_practice()
