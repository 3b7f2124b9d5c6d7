"""What the examples of progress notes rest on: a treatment day that a note can cover."""

from __future__ import annotations

from typing import Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared


def _note(p: Prepared) -> str:
    p.id("visit")
    body = {"covers_until": "2026-03-09", "kept_as": "paper"}
    path = f"clients/{p.id('client')}/progress-notes"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


THINGS: Final[dict[str, Make]] = {"progress_note": _note}


BEFORE: Final[dict[str, Before]] = {
    "client-progress-note-list-POST": lambda p: p.id("visit"),
}
