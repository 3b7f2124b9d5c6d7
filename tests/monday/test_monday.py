"""The front desk's Monday: each task in two calls at most, and no id from elsewhere."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from tests.builders import Api
from tests.monday.desk import MOST_CALLS, Desk, FromElsewhere, Task
from tests.monday.house import House
from tests.monday.lists import COUNT, FRICTION, MISSING
from tests.monday.table import FILE, TaskRow
from tests.monday.tasks import TASKS, play

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("task", TASKS.values(), ids=lambda task: f"{task.number}-{task.name}")
def test_each_task_takes_two_calls_at_most(task: Task) -> None:
    desk = play(task)
    if (told := os.environ.get(FILE)) is not None:
        follows = TASKS[task.follows].number if task.follows else None
        row = TaskRow(task.number, task.what, desk.calls, desk.seconds, follows)
        with Path(told).open("a") as file:
            file.write(json.dumps(row.__dict__) + "\n")
    assert len(desk.calls) > 0
    assert (len(desk.calls) > MOST_CALLS) is (task.number in FRICTION), desk.calls


def test_every_task_is_played_or_named_as_missing() -> None:
    played = {one.number for one in TASKS.values()}
    assert played.isdisjoint(MISSING), "played by now: take it out of the missing ones"
    assert played | set(MISSING) == set(range(1, COUNT + 1))
    assert set(FRICTION) <= played


def test_an_id_that_no_answer_showed_is_seen() -> None:
    house = House()
    house.client("Mara", "Lindqvist", known=False)
    other = house.client("Jonas", "Meyer", known=False)
    desk = Desk(house.desk)
    desk.post("clients/search", {"name": "Lindqvist"})
    with pytest.raises(FromElsewhere):
        desk.get(f"clients/{other}/at-a-glance")
    with pytest.raises(FromElsewhere):
        desk.get("open-times", {"client_id": other})
    assert len(desk.calls) == 1


def test_what_is_on_the_screen_may_be_used() -> None:
    house = House()
    client = house.client("Mara", "Lindqvist", known=False)
    desk = Desk(house.desk, {"results": [{"id": client}]})
    assert desk.get(f"clients/{client}/at-a-glance")["client_id"] == client
    assert isinstance(house.desk, Api)
