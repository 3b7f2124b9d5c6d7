"""What the examples of safety incidents rest on."""

from __future__ import annotations

from typing import Any, Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make


def _incident(p: Any) -> str:
    """An open one with somebody told, reported by the desk."""
    body = {
        "kind": "fall",
        "what_happened": "Slipped beside the table.",
        "session_id": p.id("session"),
        "call_on": "2026-03-09",
        "told": [{"whom": "client"}],
    }
    made = p.post(f"clients/{p.id('client')}/incidents", body, Role.FRONT_DESK)
    p.made["incident step"] = made["steps"][0]["id"]
    return str(made["id"])


def _step(p: Any) -> str:
    p.id("incident")
    return str(p.made["incident step"])


def _of_no_practitioner(p: Any) -> None:
    """One that any practitioner may close."""
    body = {"kind": "fall", "what_happened": "At the door.", "told": [{"whom": "owner"}]}
    path = f"clients/{p.id('client')}/incidents"
    p.made["incident"] = str(p.post(path, body, Role.FRONT_DESK)["id"])


def _closed(p: Any) -> None:
    path = f"clients/{p.id('client')}/incidents/{p.id('incident')}/closing"
    p.post(path, {"words": "Healed."})


THINGS: Final[dict[str, Make]] = {"incident": _incident, "incident step": _step}
BEFORE: Final[dict[str, Before]] = {
    "incident-closing-POST": _of_no_practitioner,
    "incident-reopening-POST": _closed,
}
