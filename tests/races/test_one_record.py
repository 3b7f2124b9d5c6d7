"""Several acts on one record at one moment: rows of a kind, signatures, an erasure and a write."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from billing.authorizations.models import Authorization
from clients.consent.domain.state import CONSENT
from practice.audit import rebuild
from practice.audit.services import erasure_order
from practice.core.terms import Role
from practice.eventstore.models import StoredEvent, StreamHead
from practice.work.loading import load_states
from practice.work.unit_of_work import unit_of_work
from sessions.measurements.models import Reading
from sessions.notes.models import Note
from tests.billing.practice_rows import payer
from tests.builders import Api, Built, account, build_practice, token_for
from tests.eventstore.test_races import no_row_locks, together
from tests.harness.furnishing import READING, authorization
from tests.races.lifted import quiet, shown_within_rounds
from tests.races.meeting import before_writing
from tests.sessions.booking.http import key, took_place
from tests.sessions.notes.http import Device, whole_note
from tests.sessions.people import open_client, registered

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
AT_ONCE = 4


@pytest.fixture
def built() -> Built:
    return build_practice()


def posted_at_once(built: Built, path: str, bodies: list[Any]) -> list[int]:
    """The statuses of posts sent at one moment by the owner."""
    token = token_for(built.staff[Role.OWNER])

    def one(number: int) -> Any:
        return quiet(Api(token)).post(path, bodies[number], key=key()).status_code

    found = together(one, len(bodies))
    assert not [status for status in found if isinstance(status, Exception)], found
    return found


def consents() -> list[Any]:
    return [
        {
            "regions": [{"region": "shoulder", "side": "left"}],
            "techniques": ["active_isolated"],
            "form": "spoken_with_witness",
            "witness": "Sam Carver",
            "language": "en",
            "obtained_by": f"Person {number}",
        }
        for number in range(AT_ONCE)
    ]


def given(client_id: UUID) -> int:
    return len(load_states(client_id, (CONSENT,))[CONSENT].ledger.grants)


def test_consents_entered_at_once_are_all_on_record(built: Built) -> None:
    client_id = registered(built)
    found = posted_at_once(built, f"clients/{client_id}/touch-consent", consents())
    assert (found, given(client_id)) == ([201] * AT_ONCE, AT_ONCE)


def test_without_the_lock_a_consent_is_lost(built: Built) -> None:
    client_id = registered(built)

    def lost(_: int) -> bool:
        before = given(client_id)
        posted_at_once(built, f"clients/{client_id}/touch-consent", consents())
        return given(client_id) < before + AT_ONCE

    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(lost, meeting)


def authorized_at_once(built: Built, client_id: UUID, payer_id: UUID) -> list[int]:
    """The same authorization entered by several people at once."""
    bodies = [authorization(payer_id, number="PA-1")] * AT_ONCE
    return posted_at_once(built, f"clients/{client_id}/authorizations", bodies)


def test_an_authorization_entered_by_several_at_once_is_there_once(built: Built) -> None:
    client_id, lakeshore = registered(built), payer()
    found = authorized_at_once(built, client_id, lakeshore.pk)
    assert sorted(found) == [201] + [409] * (AT_ONCE - 1)
    assert Authorization.objects.filter(client_id=client_id).count() == 1


def test_without_the_lock_entering_an_authorization_breaks_down(built: Built) -> None:
    lakeshore = payer()
    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(
            lambda _: 500 in authorized_at_once(built, registered(built), lakeshore.pk), meeting
        )


class Signing:
    """A note that is ready, and its practitioner at two devices."""

    def __init__(self, built: Built) -> None:
        self.session_id = UUID(took_place(built, open_client(built))["id"])
        self.device = Device(built, str(self.session_id))
        self.device.save(**whole_note())
        self.token = token_for(built.staff[Role.PRACTITIONER])

    def at_once(self) -> list[Any]:
        path = f"{self.device.path}/signature"

        def sign(_: int) -> Any:
            answer = quiet(Api(self.token)).post(path, {}, match=self.device.revision, key=key())
            return answer.status_code

        return together(sign, 2)

    def signatures(self) -> int:
        (row,) = Note.objects.filter(session_id=self.session_id)
        return StoredEvent.objects.filter(stream=row.client_id, type="note.signed").count()


def test_of_two_signatures_of_one_note_one_counts(built: Built) -> None:
    for _ in range(3):
        signing = Signing(built)
        assert sorted(signing.at_once()) == [201, 409]
        assert signing.signatures() == 1
        Note.objects.all().delete()


def test_without_the_locks_a_second_signature_breaks_down(built: Built) -> None:
    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(lambda _: 500 in Signing(built).at_once(), meeting)


class Leaving:
    """A client whose erasure is ordered, a second owner who agrees, and someone who measures."""

    def __init__(self, built: Built, number: int) -> None:
        self.client_id = registered(built)
        self.token = token_for(built.staff[Role.PRACTITIONER])
        other = account(f"second.owner.{number}", Role.OWNER)
        self.owner = token_for(other)
        ordered = {"reason": "asked for", "before_retention": True}
        with unit_of_work(actor=built.actor(Role.OWNER), request_id="order") as uow:
            erasure_order(uow, client_id=self.client_id, command=ordered)

    def at_once(self) -> list[Any]:
        """The statuses of the agreement and of three readings at one moment."""
        path = f"clients/{self.client_id}"

        def one(number: int) -> Any:
            if number == 0:
                return quiet(Api(self.owner)).post(f"{path}/erasure/approval").status_code
            body = READING | {"degrees": 100 + number}
            api = quiet(Api(self.token))
            return api.post(f"{path}/range-of-motion", body, key=key()).status_code

        return together(one, AT_ONCE)

    def nothing_after_the_closing(self) -> bool:
        """The closing event is the first that is folded, and the only one that is left."""
        head = StreamHead.objects.get(stream=self.client_id)
        later = StoredEvent.objects.filter(
            stream=self.client_id, version__gte=head.starts_at_version
        )
        left = Reading.objects.filter(client_id=self.client_id).exists()
        return [one.type for one in later] == ["record.closed"] and not left


def test_a_write_at_the_moment_of_the_agreement_is_erased_or_refused(built: Built) -> None:
    for number in range(4):
        leaving = Leaving(built, number)
        agreed, *written = leaving.at_once()
        assert agreed == 200
        assert set(written) <= {201, 404, 409, 410}
        assert leaving.nothing_after_the_closing()
    assert rebuild.compare().differences == []


def test_without_the_lock_a_write_and_the_agreement_collide(built: Built) -> None:
    def collided(number: int) -> bool:
        leaving = Leaving(built, number)
        found = leaving.at_once()
        return 500 in found or not leaving.nothing_after_the_closing()

    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(collided, meeting)
