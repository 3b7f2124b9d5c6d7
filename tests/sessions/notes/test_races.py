"""Devices that save at one moment: nothing is lost; without the lock a save is."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from practice.core.terms import Role
from practice.work.unit_of_work import unit_of_work
from sessions.notes.models import NoteDraft
from sessions.notes.services import drafts
from sessions.notes.services.drafts import draft_save
from sessions.notes.services.kept_drafts import decrypt_draft
from tests.builders import Built, build_practice
from tests.eventstore.test_races import no_row_locks, together
from tests.races.lifted import shown_within_rounds
from tests.races.meeting import meeting_before
from tests.sessions.booking.http import took_place
from tests.sessions.people import open_client

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
DEVICES = 6


@pytest.fixture
def built() -> Built:
    return build_practice()


def save_at_once(built: Built, session_id: UUID, number: int) -> list[Any]:
    """Every device writes its own field, all at once."""

    def one(device: int) -> Any:
        save = {
            "device": f"device {device}",
            "sequence": number,
            "explanations": {str(UUID(int=device)): f"round {number}"},
        }
        with unit_of_work(actor=built.actor(Role.PRACTITIONER), request_id="race") as uow:
            return draft_save(uow, session_id=session_id, command=save, if_match=0)

    return together(one, DEVICES)


def kept(session_id: UUID) -> list[Any]:
    return list(decrypt_draft(NoteDraft.objects.get(session_id=session_id)).content().values())


def test_saves_from_many_devices_at_once_are_all_kept(built: Built) -> None:
    session_id = UUID(took_place(built, open_client(built))["id"])
    for number in range(1, 6):
        results = save_at_once(built, session_id, number)
        assert not [one for one in results if isinstance(one, Exception)]
        assert kept(session_id) == [f"round {number}"] * DEVICES


def test_without_the_locks_a_save_is_lost(built: Built) -> None:
    session_id = UUID(took_place(built, open_client(built))["id"])
    save_at_once(built, session_id, 1)

    def lost(number: int) -> bool:
        save_at_once(built, session_id, number + 2)
        return kept(session_id) != [f"round {number + 2}"] * DEVICES

    with no_row_locks(), meeting_before(drafts, "encrypt_draft") as meeting:
        shown_within_rounds(lost, meeting)
