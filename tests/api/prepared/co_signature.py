"""What the examples of co-signatures rest on: a note by someone whom the caller supervised."""

from __future__ import annotations

from typing import Final
from uuid import uuid4

from practice.core.terms import Credential, Role
from practice.people_and_places.models.practitioners import Practitioner
from tests.api.prepared.calendar import booked
from tests.api.prepared.practice import Before, Make, Prepared
from tests.builders import Api, account, ok, practitioner, token_for
from tests.sessions.booking.http import WELL
from tests.sessions.notes.http import whole_note


def _awaiting(p: Prepared) -> None:
    """The massage therapist has signed; the physical therapist co-signs."""
    marco = p.built.practitioners[Credential.MASSAGE_THERAPIST]
    body = {
        "supervisor_id": p.id("practitioner"),
        "supervised_id": str(marco.pk),
        "facility_id": p.id("facility"),
        "day": "2026-03-09",
        "co_signs": True,
    }
    p.post("supervisions", body)
    p.made["session"] = booked(
        p,
        "2026-03-09T10:00:00-04:00",
        practitioner_id=str(marco.pk),
        attendance="attended",
        answers=WELL,
    )
    path = f"sessions/{p.id('session')}/note"
    author = Api(token_for(account("marco", Role.PRACTITIONER, p.built.east, of=marco)))
    ok(author.patch(path, {"device": "phone", "sequence": 1, **whole_note()}, match=0))
    signed = ok(author.post(f"{path}/signature", {}, match=1, key=str(uuid4())), 201)
    p.match = signed["version"]


def _returned(p: Prepared) -> None:
    """The same, sent back by the caller."""
    _awaiting(p)
    path = f"sessions/{p.id('session')}/note/return"
    body = {"reason": "Say how the client responded."}
    p.match = ok(p.api(Role.PRACTITIONER).post(path, body, match=p.match))["version"]


def _left(p: Prepared) -> None:
    """The only supervisor of that day has left; another could have supervised."""
    _awaiting(p)
    Practitioner.objects.filter(pk=p.id("practitioner")).update(is_active=False)
    other = practitioner("Sol Weber", Credential.PHYSICAL_THERAPIST, p.built.east)
    p.made["practitioner"] = str(other.pk)


THINGS: Final[dict[str, Make]] = {}
BEFORE: Final[dict[str, Before]] = {
    "note-co-signature-POST": _awaiting,
    "note-return-POST": _awaiting,
    "note-return-take-back-POST": _returned,
    "note-co-signer-POST": _left,
}
