"""The replayed logs through the server: saves before and after the signature, one addendum."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from uuid import NAMESPACE_OID, UUID, uuid5

import pytest

from practice.audit.rebuild import compare
from sessions.measurements.models import Reading
from sessions.notes.domain.draft_fields import DraftSave
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import took_place
from tests.sessions.notes.http import MINUTES, Device
from tests.sessions.notes.replaying import Replay
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db
READING = {
    "movement": "shoulder_flexion",
    "side": "left",
    "motion": "active",
    "position": "sitting",
    "instrument": "goniometer",
}
TEXTS = ("subjective", "objective", "assessment", "plan")


@pytest.fixture
def built() -> Built:
    return build_practice()


@dataclass
class ServerReplay(Replay):
    """A replay whose draft lies in the server; a collision is an answer too. Every save brings a
    reading that was taken meanwhile."""

    phone: Any = None
    measured: dict[str, int] = field(default_factory=dict)

    def deliver(self, save: DraftSave) -> None:
        sent = {"device": save.device, "sequence": save.sequence, **save.changes}
        sent["readings"] = [self.reading_of(save)]
        answer = self.phone.api.patch(self.phone.path, sent, match=save.base)
        assert answer.status_code in (200, 412), answer.content
        assert answer.json().get("code", "colliding_save") == "colliding_save"

    def reading_of(self, save: DraftSave) -> dict[str, Any]:
        """The reading of a save: the same whenever it is sent; of one in three its number is
        impossible."""
        line_id = str(
            uuid5(NAMESPACE_OID, f"{save.device} {save.order} {sorted(save.changes.items())}")
        )
        number = UUID(line_id).int % 60 + 90
        self.measured[line_id] = 400 if number % 3 == 0 else number
        return {**READING, "line_id": line_id, "degrees": self.measured[line_id]}

    def taken_once(self) -> None:
        """Every reading that can be is one reading, with its own number, and no other is."""
        good = sorted(number for number in self.measured.values() if number != 400)
        assert sorted(Reading.objects.values_list("degrees", flat=True)) == good
        draft = self.phone.read()["draft"]
        lines = [] if draft is None else draft["measured_lines"]
        waits = {one["field"] for one in lines if one["state"] == "not_taken"}
        bad = {f"readings.{key}" for key, number in self.measured.items() if number == 400}
        assert waits <= bad

    def standing(self) -> tuple[int, dict[str, frozenset[Any]]]:
        draft = self.phone.read()["draft"]
        if draft is None:
            return 0, {}
        one = {name: frozenset([draft["note"][name]]) for name in TEXTS if draft["note"][name]}
        several = {name: frozenset(values) for name, values in draft["collisions"].items()}
        return draft["revision"], one | several

    def chooses(self, *, missing: str = "") -> dict[str, Any]:
        """Every collision is settled by one who has read it; what is empty gets a text."""
        _, found = self.standing()
        chosen = {name: sorted(map(str, found.get(name, ()))) for name in TEXTS}
        words = {
            name: " / ".join(values) or missing
            for name, values in chosen.items()
            if len(values) > 1 or (missing and not values)
        }
        saved: dict[str, Any] = self.phone.save(**words)
        return saved


@pytest.mark.parametrize("seed", range(6))
def test_every_word_that_nobody_had_read_is_in_the_note_or_its_addendum(
    built: Built, seed: int
) -> None:
    """Ruling 1, issue 11: nothing lost, nothing twice, whatever arrives again afterwards."""
    phone = Device(built, took_place(built, open_client(built))["id"], "settler")
    replay = ServerReplay(seed, restarts=bool(seed % 2), fields=TEXTS, phone=phone)
    replay.run(14)
    _, before = replay.standing()
    for name, words in replay.must_stand().items():
        assert words <= before[name], name
    replay.chooses(missing="nothing else")
    replay.taken_once()
    refusals = [key for key, number in replay.measured.items() if number == 400]
    phone.save(minutes=MINUTES, not_counted_minutes=10, remove_readings=refusals)
    signed = ok(phone.sign(), 201)
    for name, standing in before.items():
        assert all(word in signed[name] for word in standing), name
    replay.run(14)
    draft = phone.read()["draft"]
    if draft is not None:
        _, late = replay.standing()
        saved = replay.chooses()
        sent = {"text": "What came late.", "send_unsent": saved["revision"]}
        added = ok(phone.api.post(f"{phone.path}/addenda", sent), 201)["addenda"][-1]
        for name, standing in late.items():
            shown = added["late"]["texts"].get(name, signed[name])
            assert all(word in shown for word in standing), name
    replay.everything_arrives()
    replay.taken_once()
    found = phone.read()
    assert found["draft"] is None
    assert {name: found["signed"][name] for name in TEXTS} == {n: signed[n] for n in TEXTS}
    assert compare().differences == []
