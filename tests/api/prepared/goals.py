"""What the examples of treatment goals and of home exercise rest on."""

from __future__ import annotations

from typing import Any, Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make


def _goal(p: Any) -> str:
    body = {"text": "Reaches the upper shelf.", "words": "My own dishes."}
    path = f"clients/{p.id('client')}/treatment-goals"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


def _review(p: Any) -> str:
    path = f"clients/{p.id('client')}/treatment-goals/{p.id('treatment_goal')}/reviews"
    body = {"outcome": "not_met", "reason": "too early"}
    return str(p.post(path, body, Role.PRACTITIONER)["reviews"][-1]["id"])


def _report(p: Any) -> str:
    path = f"clients/{p.id('client')}/home-exercises/{p.id('home_exercise')}/reports"
    return str(p.post(path, {"followed": "partly"}, Role.PRACTITIONER)["id"])


THINGS: Final[dict[str, Make]] = {
    "treatment_goal": _goal,
    "goal review": _review,
    "report": _report,
}

BEFORE: Final[dict[str, Before]] = {}
