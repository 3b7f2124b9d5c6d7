import pytest

from practice.policy.models import PracticeSetting
from tests.builders import Built, build_practice


@pytest.fixture
def built(db) -> Built:
    return build_practice()


@pytest.fixture(autouse=True)
def _no_quiet_hours(request: pytest.FixtureRequest) -> None:
    """These tests run at any hour; test_reminders tells of the night."""
    if "built" in request.fixturenames:
        request.getfixturevalue("built")
        PracticeSetting.objects.filter(group="reminders").update(value=8)
