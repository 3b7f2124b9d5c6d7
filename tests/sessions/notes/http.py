"""Notes over HTTP: what devices send."""

from __future__ import annotations

from itertools import count
from typing import Any
from uuid import uuid4

from practice.core.terms import Role
from tests.builders import Api, Built, ok
from tests.sessions.booking.http import key

TEXTS = {
    "subjective": "Slept well.",
    "objective": "Arm rises further than last week.",
    "assessment": "Progress.",
    "plan": "Go on twice a week.",
}
MINUTES = {"stretching": 40, "cardio": 10}


def line(**changes: Any) -> dict[str, Any]:
    """Ten repetitions of the abduction pattern on the left, by hand, from minute 12."""
    values = {
        "line_id": str(uuid4()),
        "stretch": "abduction_pattern",
        "technique": "active_isolated",
        "side": "left",
        "mode": "hands_on",
        "repetitions": 10,
        "hold_seconds": 2,
        "minute": 12,
        "response": "more",
    }
    return {**values, **changes}


class Device:
    """A device that numbers its saves and remembers the revision it has read."""

    def __init__(self, built: Built, session_id: str, name: str = "phone") -> None:
        self.api: Api = built.api(Role.PRACTITIONER)
        self.path = f"sessions/{session_id}/note"
        self.name = name
        self.revision = 0
        self._numbers = count(1)

    def send(self, method: str = "PATCH", **content: Any) -> Any:
        """One save upon the revision last read; the answer as it comes."""
        sent = {"device": self.name, "sequence": next(self._numbers), **content}
        return self.api.send(method, self.path, sent, match=self.revision)

    def save(self, method: str = "PATCH", **content: Any) -> dict[str, Any]:
        """A save that is taken."""
        saved: dict[str, Any] = ok(self.send(method, **content))
        self.revision = saved["revision"]
        return saved

    def read(self) -> dict[str, Any]:
        """The note as it stands."""
        found: dict[str, Any] = ok(self.api.get(self.path))
        if found["draft"]:
            self.revision = found["draft"]["revision"]
        return found

    def sign(self, *, again: str | None = None) -> Any:
        """A signature of the revision last read."""
        return self.api.post(f"{self.path}/signature", match=self.revision, key=again or key())


def whole_note(**changes: Any) -> dict[str, Any]:
    """A note that may be signed: fifty minutes of work and ten not counted."""
    return {**TEXTS, "minutes": MINUTES, "not_counted_minutes": 10, **changes}
