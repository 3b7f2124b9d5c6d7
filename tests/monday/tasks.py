"""The desk's tasks of a Monday that can be played."""

from __future__ import annotations

from typing import Final

from practice.clock import clock
from tests.monday import away, booking, consent_and_papers, day, registering
from tests.monday.desk import Desk, Task
from tests.monday.house import MONDAY, House

TASKS: Final[dict[str, Task]] = (
    registering.TASKS | consent_and_papers.TASKS | booking.TASKS | away.TASKS | day.TASKS
)


def play(task: Task) -> Desk:
    """The task on a practice of its own; where it follows another, that one's answer is on the
    screen. Asserts what the task must show."""
    with clock.at(MONDAY):
        house = House()
        screen = None
        if task.follows:
            screen = _answer(TASKS[task.follows], house)
        desk = Desk(house.desk, screen)
        task.play(desk, house)
        return desk


def _answer(task: Task, house: House) -> object:
    screen = _answer(TASKS[task.follows], house) if task.follows else None
    return task.play(Desk(house.desk, screen), house)
