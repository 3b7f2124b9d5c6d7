"""The front desk at its machine: every call is counted and timed, and no id comes from nowhere."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any

from tests.builders import Api
from tests.monday.house import House
from tests.sessions.booking.http import key

ID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
MOST_CALLS = 2


class FromElsewhere(AssertionError):
    """An id that no answer on the desk's screen shows."""


@dataclass
class Desk:
    """One of the desk at work on one task.

    ``screen`` is the one answer that the desk has before it when the task begins; None: nothing.
    """

    api: Api
    screen: Any = None
    calls: list[str] = field(default_factory=list)
    seconds: float = 0.0
    _shown: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._shown |= ids_in(self.screen)

    def get(self, path: str, query: dict[str, Any] | None = None, status: int = 200) -> Any:
        """A read; ``query`` becomes its query string."""
        return self._call("GET", path, query, status)

    def post(self, path: str, body: dict[str, Any] | None = None, status: int = 200) -> Any:
        """A command or a search, with an Idempotency-Key as the desk's program sends one."""
        return self._call("POST", path, body or {}, status)

    def patch(self, path: str, body: dict[str, Any], status: int = 200) -> Any:
        """A change of what is on record."""
        return self._call("PATCH", path, body, status)

    def _call(self, method: str, path: str, sent: Any, status: int) -> Any:
        unknown = (ids_in(path) | ids_in(sent)) - self._shown
        if unknown:
            raise FromElsewhere(f"{method} {path}: {sorted(unknown)} was shown by no answer")
        keyed: dict[str, Any] = (
            {} if method == "GET" or path.endswith("/search") else {"key": key()}
        )
        began = perf_counter()
        answer = self.api.send(method, path, sent, **keyed)
        self.seconds += perf_counter() - began
        self.calls.append(f"{method} {ID.sub('{id}', path)}")
        text = answer.content.decode()
        assert answer.status_code == status, f"{method} {path}: {answer.status_code} {text[:600]}"
        self._shown |= set(ID.findall(text))
        return answer.json() if "json" in answer["Content-Type"] else text


def ids_in(sent: Any) -> set[str]:
    """Every id in a path, a body or an answer."""
    return set(ID.findall(sent if isinstance(sent, str) else json.dumps(sent, default=str)))


Play = Callable[[Desk, House], Any]


@dataclass(frozen=True)
class Task:
    """One of the desk's tasks: ``play`` does it, asserts what must be seen, and returns the last
    answer. ``follows``: the task whose last answer is on the screen when it begins."""

    number: int
    what: str
    play: Play
    follows: str = ""

    @property
    def name(self) -> str:
        """Unique: one number may have two ways to end."""
        return self.play.__name__


class Tasks(dict[str, Task]):
    """The tasks of a module or of all of them, by name."""

    def of(self, number: int, what: str, follows: str = "") -> Callable[[Play], Play]:
        """Decorator: this function plays a task."""

        def keep(play: Play) -> Play:
            self[play.__name__] = Task(number, what, play, follows)
            return play

        return keep
