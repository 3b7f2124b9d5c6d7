"""How the story is told: one printed line for each request, and a step that fails loudly."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.conf import settings

from practice.clock import clock
from practice.demo.callers import DemoCaller, DemoResponse, DemoUser, sign_in_demo_user
from practice.demo.checks import Check, holds
from practice.demo.people import LOGINS

LONG = 36
"""Letters of an id; a secret has more."""
PATIENCE_SECONDS = 75
"""A tick comes every minute even where no wake reaches the worker."""


class StepFailed(Exception):
    """A step got another answer than the story needs."""


class DemoStory:
    """Who is signed in, what was made so far, and how each step is shown.

    ``messages``: the folder in which mails and texts of the practice lie as files.
    """

    def __init__(
        self,
        caller: DemoCaller,
        say: Callable[[str], None] = print,
        messages: Path | None = None,
    ) -> None:
        self.caller, self.say = caller, say
        self.messages = messages or Path(settings.VAR)
        self.steps = 0
        self.kept: dict[str, Any] = {}
        self.now = clock.now().replace(second=0, microsecond=0)
        self.people: dict[str, DemoUser] = {
            role: sign_in_demo_user(caller, role, username, password)
            for role, username, password in LOGINS
        }

    @property
    def today(self) -> date:
        """The day on which the story is told."""
        return self.now.date()

    def ago(self, *, days: float) -> str:
        """An instant before now, as it travels in JSON."""
        return (self.now - timedelta(days=days)).isoformat()

    def before_visit(self, minutes: float) -> str:
        """An instant before today's visit (``visit_at``), as it travels in JSON."""
        at: datetime = self.kept["visit_at"]
        return (at - timedelta(minutes=minutes)).isoformat()

    def day(self, offset: int) -> str:
        """A day from today, e.g. -70 for ten weeks ago."""
        return (self.today + timedelta(days=offset)).isoformat()

    def local_day(self) -> str:
        """The day at Harbor Lane."""
        return self.now.astimezone(self["harbor zone"]).date().isoformat()

    def wait_for(self, done: Callable[[], bool], missing: str) -> None:
        """Until a worker has done its part; raises StepFailed with what is missing."""
        until = time.monotonic() + PATIENCE_SECONDS
        while not done():
            if time.monotonic() > until:
                raise StepFailed(missing)
            time.sleep(0.3)

    def act(self, number: int, title: str) -> None:
        """Print the heading of an act."""
        self.say(f"\n{number}. {title}")

    def do(
        self,
        who: str,
        method: str,
        path: str,
        body: Any = None,
        *,
        gives: int,
        means: str,
        check: Check,
        **sending: Any,
    ) -> DemoResponse:
        """One request as one person; it must give this status, and the answer what is told of it.

        Raises StepFailed with what was answered instead.
        """
        answer = self.people[who].send(method, path, body, **sending)
        self.steps += 1
        self.say(f"   {who:<13}{method:<7}{self._short(path):<58}{answer.status}  {means}")
        if answer.status != gives:
            raise StepFailed(f"{gives} was expected, not {answer.status}: {answer.body}")
        if not holds(check, answer):
            raise StepFailed(f"the answer is not what the story needs: {answer.body}")
        return answer

    def __getitem__(self, name: str) -> Any:
        return self.kept[name]

    @staticmethod
    def _short(path: str) -> str:
        """The path with ids and secrets cut to their first four letters."""
        parts = path.split("?", maxsplit=1)[0].split("/")
        return "/".join(f"{one[:4]}…" if len(one) >= LONG else one for one in parts)


def new_id() -> str:
    """An id as a device makes one."""
    return str(uuid4())
