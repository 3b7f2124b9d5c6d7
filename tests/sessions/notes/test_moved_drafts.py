"""A session moved to another practitioner: each writes and signs their own words alone."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.keys.keystore import keystore
from sessions.notes.domain.draft_forms import read_draft, write_draft
from sessions.notes.domain.drafts import Draft
from sessions.notes.models import NoteDraft
from sessions.notes.services.kept_drafts import decrypt_draft, draft_faults
from tests.builders import Api, Built, account, build_practice, ok, refused, token_for
from tests.sessions.booking.http import WELL, book, took_place
from tests.sessions.notes.http import TEXTS, Device, line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def session(built: Built) -> dict[str, Any]:
    """A session of Paula's that begins in a few minutes."""
    return book(built, open_client(built), (clock.now() + timedelta(minutes=5)).isoformat())


def olga_of(built: Built) -> Api:
    """Another practitioner, signed in."""
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    return Api(token_for(account("olga", Role.PRACTITIONER, built.east, of=olga)))


def moved(built: Built, session: dict[str, Any], to: Credential) -> None:
    who = built.practitioners[to]
    sent = {"practitioner_id": str(who.pk), "reason": "Somebody is ill."}
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/move", sent))


def device(built: Built, session: dict[str, Any], api: Api, name: str = "tablet") -> Device:
    found = Device(built, session["id"], name)
    found.api = api
    return found


def test_the_next_practitioner_begins_a_note_of_their_own_and_reads_what_was_written(
    built: Built, session: dict[str, Any]
) -> None:
    paula = Device(built, session["id"])
    paula.save(plan="Friday", subjective="Paula heard this.")
    moved(built, session, Credential.OCCUPATIONAL_THERAPIST)
    olga = device(built, session, olga_of(built))
    before = olga.read()
    assert (before["draft"], before["state"]) == (None, "none")
    (other,) = before["others"]
    assert (other["practitioner_name"], other["note"]["plan"]) == ("Paula", "Friday")
    saved = olga.save(plan="Monday")
    assert (saved["revision"], saved["note"]["subjective"]) == (1, "")
    kept = paula.read()
    assert kept["draft"]["state"] == "left_with_author"
    assert kept["draft"]["note"]["plan"] == "Friday"
    assert kept["others"] == [], "what another writes now is not theirs to read"
    assert NoteDraft.objects.count() == 2


def test_the_signature_takes_the_signers_words_alone_and_leaves_the_others_unsent(
    built: Built, session: dict[str, Any]
) -> None:
    paula = Device(built, session["id"])
    late_line = line(mode="self_directed", minute=3)
    paula.save(subjective="Paula heard this.", minutes={"stretching": 7}, lines=[late_line])
    moved(built, session, Credential.OCCUPATIONAL_THERAPIST)
    olga = device(built, session, olga_of(built))
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/arrival", WELL))
    olga.save(**whole_note())
    with clock.at(clock.now() + timedelta(minutes=90)):
        signed = ok(olga.sign(), 201)
        assert (signed["subjective"], signed["lines"]) == (TEXTS["subjective"], [])
        assert signed["minutes"] == {"stretching": 40, "cardio": 10}
        (told,) = [one["text"] for one in signed["warnings"] if one["code"] == "unsent_words"]
        assert told.startswith("Words by Paula")
        found = paula.read()
        assert found["draft"]["state"] == "unsent_addendum"
        revision = found["draft"]["revision"]
        discard = f"{olga.path}/unsent/discard"
        refused(olga.api.post(discard, {"reason": "x"}, match=revision), 403, "not_your_words")
        sent = {"send_unsent": revision}
        refused(olga.api.post(f"{olga.path}/addenda", sent), 403, "not_your_words")
        refused(paula.api.post(f"{paula.path}/addenda", {"text": "x"}), 403, "not_your_session")
        added = ok(paula.api.post(f"{paula.path}/addenda", sent), 201)
        (addendum,) = added["addenda"]
        paulas = built.practitioners[Credential.PHYSICAL_THERAPIST]
        assert addendum["practitioner_id"] == str(paulas.pk)
        texts = addendum["late"]["texts"]
        assert texts == {"subjective": "Paula heard this.", "minutes.stretching": "7"}
        assert added["current_minutes"] == {"stretching": 40, "cardio": 10}, "no correction"
        assert [one["line_id"] for one in addendum["late"]["lines"]] == [late_line["line_id"]]
        assert paula.read()["draft"] is None
        assert compare().differences == []


def test_what_the_first_saved_offline_arrives_after_the_move_and_after_the_signature(
    built: Built, session: dict[str, Any]
) -> None:
    """The first save of all comes when the session is another's already."""
    moved(built, session, Credential.OCCUPATIONAL_THERAPIST)
    paula = Device(built, session["id"])
    assert paula.save(plan="Friday")["state"] == "draft"
    olga = device(built, session, olga_of(built))
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/arrival", WELL))
    olga.save(**whole_note())
    with clock.at(clock.now() + timedelta(minutes=90)):
        assert ok(olga.sign(), 201)["plan"] == TEXTS["plan"]
        late = paula.save(plan="Friday or Monday")
        assert late["state"] == "unsent_addendum"
        other = Device(built, session["id"], "phone")
        assert other.read()["draft"]["note"]["plan"] == "Friday or Monday"
        discarded = ok(
            paula.api.post(
                f"{paula.path}/unsent/discard", {"reason": "Said twice."}, match=paula.revision
            )
        )
        assert discarded["draft"] is None


def test_a_first_save_after_anothers_signature_waits_beside_it(
    built: Built, session: dict[str, Any]
) -> None:
    moved(built, session, Credential.OCCUPATIONAL_THERAPIST)
    olga = device(built, session, olga_of(built))
    ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/arrival", WELL))
    olga.save(**whole_note())
    with clock.at(clock.now() + timedelta(minutes=90)):
        ok(olga.sign(), 201)
        paula = Device(built, session["id"])
        assert paula.save(plan="Friday")["state"] == "unsent_addendum"
        assert paula.read()["draft"]["note"]["plan"] == "Friday"


def test_an_app_that_names_its_starts_counts_anew_without_a_doubt(built: Built) -> None:
    phone = Device(built, took_place(built, open_client(built))["id"])
    for start, words in (("a", ("1", "2")), ("b", ("3", "4"))):
        base = phone.revision
        for sequence, word in enumerate(words, start=1):
            sent = {"device": "phone", "app_start": start, "sequence": sequence, "plan": word}
            saved = ok(phone.api.patch(phone.path, sent, match=base))
        phone.revision = saved["revision"]
    again = {"device": "phone", "app_start": "c", "sequence": 1, "plan": "5"}
    refused(phone.api.patch(phone.path, again, match=0), 412, "colliding_save")
    assert phone.read()["draft"]["collisions"] == {"plan": ["4", "5"]}
    later = {"device": "phone", "app_start": "c", "sequence": 2, "plan": "6"}
    refused(phone.api.patch(phone.path, later, match=0), 412, "colliding_save")
    assert phone.read()["draft"]["collisions"] == {"plan": ["4", "6"]}


def test_moved_back_the_first_goes_on_where_they_were(
    built: Built, session: dict[str, Any]
) -> None:
    paula = Device(built, session["id"])
    paula.save(plan="Friday")
    moved(built, session, Credential.OCCUPATIONAL_THERAPIST)
    device(built, session, olga_of(built)).save(plan="Monday")
    moved(built, session, Credential.PHYSICAL_THERAPIST)
    found = paula.read()
    assert (found["draft"]["state"], found["draft"]["note"]["plan"]) == ("draft", "Friday")
    assert found["others"][0]["note"]["plan"] == "Monday"


def test_a_reading_that_another_took_before_the_move_is_sent_with_another_value(
    built: Built, session: dict[str, Any]
) -> None:
    """The tablet goes from hand to hand: what stands is said, the other value is not lost."""
    taken = {
        "line_id": "00000000-0000-4000-8000-000000000071",
        "movement": "shoulder_flexion",
        "side": "left",
        "motion": "active",
        "degrees": 124,
        "position": "sitting",
        "instrument": "goniometer",
    }
    Device(built, session["id"]).save(readings=[taken])
    moved(built, session, Credential.OCCUPATIONAL_THERAPIST)
    olga = device(built, session, olga_of(built))
    (line_,) = olga.save(readings=[{**taken, "degrees": 130}])["measured_lines"]
    assert (line_["state"], line_["code"], line_["sent"]["degrees"]) == (
        "changed",
        "changed_since",
        130,
    )
    (line_,) = olga.save(readings=[taken])["measured_lines"]
    assert line_["state"] == "taken"


def test_a_practitioner_who_never_had_the_session_saves_nothing(
    built: Built, session: dict[str, Any]
) -> None:
    olga = device(built, session, olga_of(built))
    refused(olga.send(plan="Monday"), 403, "not_your_session")
    assert NoteDraft.objects.count() == 0


def test_a_collision_that_comes_after_the_signature_waits_for_its_author(built: Built) -> None:
    """It read as it was signed, so that the other value was kept out of everybody's sight."""
    phone = Device(built, took_place(built, open_client(built))["id"])
    phone.save(**whole_note(plan="Friday"))
    ok(phone.sign(), 201)
    tablet = Device(built, phone.path.split("/")[1], "tablet")
    refused(tablet.send(plan="Monday"), 412, "colliding_save")
    draft = phone.read()["draft"]
    assert draft["collisions"] == {"plan": ["Friday", "Monday"]}
    sent = {"send_unsent": draft["revision"]}
    refused(phone.api.post(f"{phone.path}/addenda", sent), 409, "unresolved_collisions")
    phone.save(plan="Friday")
    assert phone.read()["draft"] is None, "settled as it was signed, nothing waits"


def test_a_draft_is_bound_to_its_author_and_one_of_before_still_reads(
    built: Built, session: dict[str, Any]
) -> None:
    Device(built, session["id"]).save(plan="Friday")
    paper = NoteDraft.objects.get()
    key = keystore.of(paper.client_id)
    before = b'{"revision":1,"whole":{},"fields":{"plan":{"heads":[{"value":"Friday","revision":1,'
    before += b'"device":"phone"}],"history":[{"value":"Friday","revision":1,"device":"phone"}],'
    before += b'"taken":{}}}}'
    paper.sealed = key.encrypt(before, b"draft" + paper.session_id.bytes)
    assert decrypt_draft(paper).content() == {"plan": "Friday"}
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    NoteDraft.objects.update(practitioner_id=olga.pk)
    assert [f"session {session['id']}" in one for one in draft_faults()] == [True]


def test_a_draft_is_read_as_it_was_written() -> None:
    draft = Draft()
    draft.put_back({"plan": "Friday"})
    assert read_draft(write_draft(draft)) == draft
