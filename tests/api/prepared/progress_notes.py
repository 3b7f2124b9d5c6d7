"""What the examples of progress notes rest on: a treatment day that a note can cover."""

from __future__ import annotations

from typing import Final

from billing.payers.models import Payer
from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared


def _note(p: Prepared) -> str:
    p.id("visit")
    body = {"covers_until": "2026-03-09", "kept_as": "paper"}
    path = f"clients/{p.id('client')}/progress-notes"
    return str(p.post(path, body, Role.PRACTITIONER)["id"])


THINGS: Final[dict[str, Make]] = {"progress_note": _note}


def _waits(p: Prepared) -> None:
    """A treatment day, and a payer that asks for a note of each."""
    rule = {"treatment_days": 1, "source": "contract of 2026-01-04"}
    Payer.objects.filter(pk=p.id("payer")).update(progress_note_rule=rule)
    p.id("visit")


BEFORE: Final[dict[str, Before]] = {
    "client-progress-note-list-POST": lambda p: p.id("visit"),
    "progress-note-due-list-GET": _waits,
}
