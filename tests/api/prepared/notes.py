"""Examples of a note entered in error and of a draft that nobody can sign."""

from __future__ import annotations

from typing import Final
from uuid import uuid4

from practice.core.terms import Role
from tests.api.prepared.calendar import booked
from tests.api.prepared.practice import Before, Make, Prepared
from tests.api.prepared.sessions import drafted
from tests.builders import ok
from tests.sessions.booking.http import WELL
from tests.sessions.notes.http import whole_note


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


def _in_error(p: Prepared) -> str:
    """A note of the caller for another session, entered in error."""
    began = "2026-03-09T08:00:00-04:00"
    wrong = booked(p, began, attendance="attended", answers=WELL)
    path, author = f"sessions/{wrong}/note", p.api(Role.PRACTITIONER)
    ok(author.patch(path, {"device": "phone", "sequence": 1, **whole_note()}, match=0))
    ok(author.post(f"{path}/signature", {}, match=1, key=str(uuid4())), 201)
    why = {"reason": "Written for another client."}
    found = ok(author.post(f"{path}/entered-in-error", why, key=str(uuid4())))
    p.match = 0
    return str(found["note_id"])


THINGS: Final[dict[str, Make]] = {"note_in_error": _in_error}
BEFORE: Final[dict[str, Before]] = {"note-draft-discard-POST": _called_off}
