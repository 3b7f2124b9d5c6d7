"""Examples of a note entered in error and of a draft that nobody can sign."""

from __future__ import annotations

from typing import Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared
from tests.api.prepared.sessions import drafted


def _called_off(p: Prepared) -> None:
    drafted(p)
    sent = {
        "status": "cancelled",
        "reason": "It was called off.",
        "by": "client",
        "cause": "Has a cold.",
        "told_at": "2026-03-08T10:00:00-04:00",
    }
    p.post(f"sessions/{p.id('session')}/correction", sent, Role.FRONT_DESK)


THINGS: Final[dict[str, Make]] = {}
BEFORE: Final[dict[str, Before]] = {"note-draft-discard-POST": _called_off}
