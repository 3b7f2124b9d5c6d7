"""The order of a signed note at risk of swelling: nothing is asked for that was closed that day."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

import pytest

from clients.health.domain.content import BodySite, Condition
from clients.health.domain.terms import ConditionKind
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Region, Side
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import took_place
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client, reviewed, tell

pytestmark = pytest.mark.django_db
ARM = BodySite(region=Region.ARM, side=Side.LEFT)
SWOLLEN = Condition(id=uuid4(), kind=ConditionKind.LYMPHEDEMA, sites=(ARM,))
FRAGILE = Condition(id=uuid4(), kind=ConditionKind.BONE_FRAGILITY)


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.mark.parametrize(
    ("conditions", "named"),
    [((SWOLLEN,), True), ((SWOLLEN, FRAGILE), False)],
)
def test_closed_preparation_is_not_asked_for(
    built: Built, conditions: tuple[Condition, ...], named: bool
) -> None:
    client_id = open_client(built)
    before = clock.now() - timedelta(days=7)
    tell(built, client_id, DatedEvent(reviewed(conditions=conditions), before))
    session = took_place(built, client_id)
    device = Device(built, session["id"])
    device.save(**whole_note(lines=[line()]))
    signed = ok(device.sign(), 201)
    (warning,) = [one for one in signed["warnings"] if one["code"] == "order.preparation"]
    assert "breathing" in warning["text"]
    assert ("curls" in warning["text"]) is named
