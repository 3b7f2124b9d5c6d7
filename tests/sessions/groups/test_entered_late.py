"""A class that was entered after it took place says so, as each place in it does: when, and by
whom."""

from __future__ import annotations

from datetime import timedelta

import pytest

from practice.clock import clock
from practice.core.terms import Role
from practice.policy.row_seals import row_faults
from sessions.calendar.models import ExerciseClass
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import WELL, key, local
from tests.sessions.groups.http import made, read
from tests.sessions.groups.test_late import came, entered, missed
from tests.sessions.people import registered

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def test_a_class_entered_late_says_when_and_by_whom_wherever_it_is_shown(built: Built) -> None:
    begun = clock.now()
    group = entered(built, came(registered(built)), missed(registered(built)))
    told = group["entered_late"]
    desk = built.staff[Role.FRONT_DESK]
    assert told["recorded_by"] == {"id": str(desk.pk), "name": desk.name}
    row = ExerciseClass.objects.get()
    assert begun <= row.entered_late_at <= clock.now()
    assert told["recorded_at"] == row.entered_late_at.isoformat().replace("+00:00", "Z")
    assert [place["late_entry"] for place in group["places"]] == [True, True]
    assert read(built, group["id"])["entered_late"] == told
    listed = ok(built.api(Role.OWNER).get("classes"))["results"]
    assert [one["entered_late"] for one in listed] == [told]
    assert not faults_of_classes()


def test_a_class_made_ahead_was_not_entered_late_though_somebody_is_added_afterwards(
    built: Built,
) -> None:
    group = made(built, local(3))
    assert group["entered_late"] is None
    client = registered(built)
    path = f"classes/{group['id']}"
    came_after_all = {"client_id": str(client), "attendance": "attended", "answers": WELL}
    with clock.at(clock.now() + timedelta(days=4)):
        desk = built.api(Role.FRONT_DESK)
        place = ok(desk.post(f"{path}/places", came_after_all, key=key()), 201)
        assert place["session"]["late_entry"] is True
        assert ok(desk.get(path))["entered_late"] is None


def test_a_class_from_before_it_was_kept_who_entered_it_stands_as_it_was_sealed(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(built, local(3))
    assert not faults_of_classes()
    monkeypatch.setattr(ExerciseClass, "ADDED", {})
    assert faults_of_classes(), "its seal knows no such columns"


def faults_of_classes() -> list[str]:
    return [one for one in row_faults() if "ExerciseClass" in one]
