"""Three months of the demo's past, played through the API at the times when it happened."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from random import Random
from typing import Any

from practice.clock import clock
from practice.demo import people
from practice.demo.callers import DemoUser, InProcessCaller, sign_in_demo_user
from practice.demo.clients import Course
from practice.demo.desk_history import DeskWork
from practice.demo.recovery import Recovery
from practice.people_and_places.models.staff import AccessToken
from practice.people_and_places.token_seals import seal_token

SEED = 20_260_301


@dataclass(order=True)
class ScheduledStep:
    """Something that someone does at an instant of the past."""

    at: datetime
    order: int
    act: Callable[[], Any] = field(compare=False)


class HistoryPlayer:
    """Collects the moments of all clients and plays them in order of time."""

    def __init__(self, inside: InProcessCaller, ids: dict[str, str], now: datetime) -> None:
        self.inside, self.ids, self.now = inside, ids, now
        self.chance = Random(SEED)  # noqa: S311  a demo that is the same every time
        self.moments: list[ScheduledStep] = []
        self.staff: dict[str, DemoUser] = {}

    def at(self, when: datetime, act: Callable[[], Any]) -> None:
        """Plan an act; what would lie after now is left out."""
        if when < self.now - timedelta(minutes=5):
            self.moments.append(ScheduledStep(when, len(self.moments), act))

    def play(self, courses: Sequence[Course]) -> int:
        """Play these clients' past in order of time; returns how many acts there were."""
        for course in courses:
            recovery = Recovery(self, course)
            recovery.plan()
            DeskWork(recovery).plan()
        self.moments.sort()
        with self._signed_in():
            for moment in self.moments:
                self.inside.instant = moment.at
                moment.act()
        self.inside.instant = None
        return len(self.moments)

    @contextmanager
    def _signed_in(self) -> Iterator[None]:
        """Everyone signed in for the whole of the past: a token of a day would run out."""
        for username in (one[0] for one in people.STAFF):
            self.staff[username] = sign_in_demo_user(
                self.inside, username, username, people.PASSWORD
            )
        for row in AccessToken.objects.all():
            row.created_at = self.now - timedelta(weeks=60)
            row.expires_at = self.now + timedelta(hours=1)
            seal_token(row).save()
        try:
            yield
        finally:
            AccessToken.objects.all().delete()


def clock_now() -> datetime:
    """Now, to the minute."""
    return clock.now().replace(second=0, microsecond=0)
