"""The desk's 45 tasks of a Monday: those that can be played, those that wait, those that rub."""

from __future__ import annotations

from typing import Final

from practice.clock import clock
from tests.monday import booking, consent_and_papers, day, registering
from tests.monday.desk import Desk, Task
from tests.monday.house import MONDAY, House

COUNT: Final = 45
TASKS: Final[dict[str, Task]] = (
    registering.TASKS | consent_and_papers.TASKS | booking.TASKS | day.TASKS
)

MISSING: Final[dict[int, str]] = {
    38: "a practitioner is ill: that day's clients with phones and stand-ins, moved in one act",
    39: "a facility is closed for snow",
    40: "hold a slot for evaluations, book a new client into it",
}
"""Tasks that cannot be played yet: what they ask for is not there."""

FRICTION: Final[dict[int, str]] = {
    35: "three calls: the day's list, the correction with its reason, then the arrival",
}
"""Tasks that can be done, but not in two calls; each says what rubs."""


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
