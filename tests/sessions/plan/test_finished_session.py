"""A finished session on a bad connection: opening, saves, signature; how many requests, how many
bytes down."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any

import pytest

from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built
from tests.sessions.assessment.short import LARGEST_BYTES
from tests.sessions.booking.http import WELL, book, key
from tests.sessions.notes.http import TEXTS
from tests.sessions.people import open_client, reviewed, tell
from tests.sessions.plan.test_short_plan import (
    chest_operations,
    flap_and_fragile_bone,
    lumpectomy,
    on_programme,
)

pytestmark = pytest.mark.django_db
BYTES_DOWN = 20 * 1024
REQUESTS = 4


class Counting:
    """Requests as a phone sends them, with the bytes of their answers."""

    def __init__(self, api: Api) -> None:
        self.api = api
        self.bytes: dict[str, int] = {}

    def send(self, what: str, path: str, sent: Any, status: int, **more: Any) -> Any:
        answer = self.api.send("PATCH" if what == "save" else "POST", path, sent, **more)
        assert answer.status_code == status, answer.content
        self.bytes[what] = len(answer.content)
        return json.loads(answer.content)


@pytest.mark.parametrize("history", [chest_operations, flap_and_fragile_bone, lumpectomy])
def test_a_finished_session_takes_at_most_four_requests_and_20_kb_down(
    built: Built, history: Any
) -> None:
    """Opening with the plan, the lines of the plan as done, one save, the signature. Where the
    day leaves nothing of the plan, nothing is brought."""
    client_id = open_client(built)
    tell(built, client_id, reviewed(**history()))
    on_programme(built.api(Role.PRACTITIONER), built, client_id)
    session = book(built, client_id, (clock.now() + timedelta(minutes=1)).isoformat())
    phone = Counting(built.api(Role.PRACTITIONER))
    path = f"sessions/{session['id']}"
    with clock.at(clock.now() + timedelta(minutes=2)):
        answer = built.api(Role.FRONT_DESK).post(f"{path}/arrival", WELL)
        assert answer.status_code == 200, answer.content
        opened = phone.send("opening", f"{path}/opening", {}, 200)
    assert phone.bytes["opening"] <= LARGEST_BYTES
    assert opened["opened_at"] is not None
    assert opened["programme"]
    assert opened["readings"]
    with clock.at(clock.now() + timedelta(minutes=70)):
        said = {"device": "phone", "sequence": 1, "origin": "plan", "response": "As expected."}
        lines = phone.send("lines", f"{path}/note/lines", said, 200, match=0)
        assert bool(lines["note"]["lines"]) is (opened["mode"] != "not_today")
        note = {
            **TEXTS,
            "minutes": {"stretching": 40, "cardio": 10},
            "not_counted_minutes": 5,
            "explanations": {one["line_id"]: "Asked for it." for one in lines["note"]["lines"]},
        }
        saved = {"device": "phone", "sequence": 2, **note}
        revision = lines["revision"]
        kept = phone.send("save", f"{path}/note", saved, 200, match=revision)
        revision = kept["revision"]
        signing = f"{path}/note/signature"
        signed = phone.send("signature", signing, {}, 201, match=revision, key=key())
    assert signed["lines"] == lines["note"]["lines"]
    assert len(phone.bytes) <= REQUESTS
    assert sum(phone.bytes.values()) <= BYTES_DOWN, phone.bytes
    print(history.__name__, phone.bytes, sum(phone.bytes.values()))
