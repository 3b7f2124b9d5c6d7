"""Asking higher layers for warnings, in a command or in a read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any
from uuid import UUID

from practice.core.appspec import installed
from practice.core.decisions import Context, Slice, States
from practice.core.reasons import Reason


class Advisors:
    """What higher layers say to one question about one client.

    They read what they need once, however many times they are asked. ``states`` gives the
    client's slices.
    """

    def __init__(
        self,
        question: str,
        client_id: UUID,
        states: Callable[[Sequence[Slice[Any, Any]]], States],
        context: Context,
    ) -> None:
        asked = [one for one in installed.advisories if one.question == question]
        self._states = states(list(dict.fromkeys(part for one in asked for part in one.slices)))
        self._context = context
        self._asked = [
            (one, one.lookup(client_id, self._states) if one.lookup else None) for one in asked
        ]

    def on(self, facts: Any) -> list[Reason]:
        """The warnings on some facts."""
        return [
            warning
            for one, found in self._asked
            for warning in one.advise(facts, self._states, found, self._context)
        ]
