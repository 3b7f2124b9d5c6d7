"""Co-signatures over HTTP: warned of, waited for, given, sent back, listed (rulings 24, 43)."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.people_and_places.models.practitioners import Licence, Practitioner
from practice.policy.row_seals import seal_rows
from sessions.calendar.models import Session
from sessions.notes.models import Note
from tests.builders import Built, account, build_practice, ok, practitioner, refused
from tests.sessions.booking.http import WELL, book, key
from tests.sessions.notes.co_signing import CoSigning, supervise, under_supervision
from tests.sessions.notes.http import line, whole_note
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def under(built: Built) -> CoSigning:
    return CoSigning.furnished(built)


def listed(under: CoSigning, role: Role = Role.OWNER, **query: str) -> list[dict[str, Any]]:
    api = under.built.api(role)
    return list(ok(api.get("notes/awaiting-co-signature", query))["results"])


def test_saves_warn_and_the_signature_says_of_whom_it_waits(under: CoSigning) -> None:
    saved = under.phone.save(**whole_note(lines=[line()]))
    (told,) = [one for one in saved["findings"] if one["code"] == "awaits_co_signature"]
    assert told["text"].startswith("Once signed, the note waits for the co-signature of Rosa Amsel")
    signed = ok(under.phone.sign(), 201)
    state = signed["co_signature"]
    assert (state["status"], state["nobody"], state["acts"]) == ("waiting", [], [])
    assert state["text"] == "The note waits for the co-signature of Rosa Amsel."
    assert [one["name"] for one in state["waits_for"]] == ["Rosa Amsel"]
    assert [one["code"] for one in state["reasons"]] == ["co_signature.law"]
    assert "awaits_co_signature" in {one["code"] for one in signed["warnings"]}
    assert under.read() == {**signed, "warnings": under.read()["warnings"]}


def test_the_opening_says_that_the_note_will_wait_and_of_whom(built: Built) -> None:
    under = CoSigning.furnished(built)
    starts_at = (clock.now() + timedelta(minutes=1)).isoformat()
    path = f"sessions/{book(built, open_client(built), starts_at)['id']}"
    supervise(built, under.rosa, Session.objects.latest("starts_at").local_date)
    with clock.at(clock.now() + timedelta(minutes=2)):
        ok(built.api(Role.FRONT_DESK).post(f"{path}/arrival", WELL))
        opened = ok(built.api(Role.PRACTITIONER).post(f"{path}/opening"))
    told = [opened["reason_texts"][str(one)]["text"] for one in opened["opening_warnings"]]
    (found,) = [one for one in told if "co-signature" in one]
    assert found.startswith("Once signed, the note waits for the co-signature of Rosa Amsel.")


def test_what_stands_on_no_supervision_waits_for_nobody(under: CoSigning) -> None:
    """The law speaks of work by hand; nothing of it was done."""
    saved = under.phone.save(**whole_note(lines=[line(mode="self_directed")]))
    assert "awaits_co_signature" not in {one["code"] for one in saved["findings"]}
    signed = ok(under.phone.sign(), 201)
    assert signed["co_signature"]["status"] == "not_required"
    assert signed["co_signature"]["text"] == "No co-signature is required."
    assert listed(under) == []
    refused(under.co_sign(), 409, "co_signature_not_required")
    refused(under.give_back(), 409, "co_signature_not_required")


@pytest.mark.parametrize("co_signs", [True, False])
def test_the_practice_may_have_its_supervisor_co_sign(built: Built, co_signs: bool) -> None:
    signed = CoSigning.furnished(built, law=False, co_signs=co_signs).sign()
    found = [one["code"] for one in signed["co_signature"]["reasons"]]
    assert found == (["co_signature.supervision"] if co_signs else [])
    assert signed["co_signature"]["status"] == ("waiting" if co_signs else "not_required")


def test_the_supervisor_co_signs_with_own_words_and_all_views_say_so(under: CoSigning) -> None:
    under.sign()
    done = ok(under.co_sign(words="Read and agreed."), 201)["co_signature"]
    assert done["status"] == "co_signed"
    (act,) = done["acts"]
    assert (act["act"], act["practitioner_name"], act["credential"], act["words"]) == (
        "co_signed",
        "Rosa Amsel",
        "physical_therapist",
        "Read and agreed.",
    )
    assert done["text"].startswith("Co-signed by Rosa Amsel, physical therapist, on ")
    assert done["text"].endswith(": Read and agreed.")
    assert listed(under) == []
    refused(under.co_sign(), 409, "already_co_signed")
    client = Note.objects.get().client_id
    texts = [one["text"] for one in client_history(client)["results"]]
    assert any("waits for the supervisor's co-signature" in text for text in texts)
    assert any("was co-signed by a physical therapist: Read and agreed." in text for text in texts)
    page = under.built.api(Role.OWNER).get(f"clients/{client}/history/printout")
    assert "was co-signed by a physical therapist" in page.content.decode()
    assert compare().differences == []


def test_neither_the_author_nor_a_stranger_nor_a_bystander_co_signs(under: CoSigning) -> None:
    under.sign()
    for who in (
        under.built.staff[Role.PRACTITIONER],
        account(
            "olga",
            Role.PRACTITIONER,
            under.built.east,
            of=under.built.practitioners[Credential.OCCUPATIONAL_THERAPIST],
        ),
    ):
        refused(under.co_sign(under.by(who)), 403, "may_not_co_sign")
    elsewhere = account("west", Role.PRACTITIONER, under.built.west)
    refused(under.co_sign(under.by(elsewhere)), 404, "not_found")
    refused(under.co_sign(under.built.api(Role.OWNER)), 403, "forbidden")
    assert under.read()["co_signature"]["status"] == "waiting"


def test_who_supervised_elsewhere_that_day_may_and_whose_licence_ended_may_not(
    under: CoSigning,
) -> None:
    day = Session.objects.get(pk=under.session_id).local_date
    built = under.built
    second = practitioner("Sol Weber", Credential.PHYSICAL_THERAPIST, built.east, built.west)
    body = {
        "supervisor_id": str(second.pk),
        "supervised_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "facility_id": str(built.west.pk),
        "day": day.isoformat(),
    }
    ok(built.api(Role.OWNER).post("supervisions", body, key=key()), 201)
    signed = under.sign()
    names = [one["name"] for one in signed["co_signature"]["waits_for"]]
    assert names == ["Rosa Amsel", "Sol Weber"]
    _end_licences(under.rosa, day)
    told = refused(under.co_sign(), 403, "may_not_co_sign")
    assert "has no licence in US-PA on" in told["detail"]
    assert [one["name"] for one in under.read()["co_signature"]["waits_for"]] == ["Sol Weber"]
    sol = account("sol", Role.PRACTITIONER, built.east, of=second)
    done = ok(under.co_sign(under.by(sol)), 201)["co_signature"]
    assert done["acts"][0]["practitioner_name"] == "Sol Weber"


def _end_licences(person: Practitioner, day: date) -> None:
    Licence.objects.filter(practitioner=person).update(expires_on=day)
    seal_rows(Licence.objects.filter(practitioner=person))


def test_a_returned_note_is_answered_by_an_addendum_and_then_co_signed(under: CoSigning) -> None:
    under.sign()
    assert under.give_back("").status_code == 400
    back = ok(under.give_back())["co_signature"]
    assert back["status"] == "returned"
    assert "Say how the client responded." in back["text"]
    assert back["text"].endswith("Its author answers by an addendum.")
    refused(under.co_sign(), 409, "note_returned")
    under.add("The client felt less tension.")
    assert under.read()["co_signature"]["status"] == "waiting"
    done = ok(under.co_sign(), 201)["co_signature"]
    assert [one["act"] for one in done["acts"]] == ["returned", "co_signed"]


def test_an_addendum_since_the_co_signature_wants_another_look(under: CoSigning) -> None:
    under.sign()
    read = under.read()["version"]
    ok(under.co_sign(), 201)
    under.add("Left arm, not right.")
    state = under.read()["co_signature"]
    assert state["status"] == "addendum_since"
    assert state["text"].startswith("An addendum came since the co-signature: the note waits for")
    assert "Co-signed by Rosa Amsel" in state["text"]
    (row,) = listed(under)
    assert row["co_signature"]["status"] == "addendum_since"
    refused(under.co_sign(match=read), 412, "stale_version")
    assert ok(under.co_sign(), 201)["co_signature"]["status"] == "co_signed"
    assert listed(under) == []
    assert compare().differences == []


def test_work_by_hand_that_an_addendum_brings_makes_the_note_wait(under: CoSigning) -> None:
    signed = under.sign(lines=[line(mode="self_directed")])
    assert signed["co_signature"]["status"] == "not_required"
    assert under.add("Nothing by hand.")["co_signature"]["status"] == "not_required"
    saved = under.phone.save(lines=[line()])
    added = under.add("One more, by hand.", send_unsent=saved["revision"])
    assert added["co_signature"]["status"] == "waiting"
    assert ok(under.co_sign(), 201)["co_signature"]["status"] == "co_signed"


def test_the_list_is_the_supervisors_the_authors_and_the_owners(under: CoSigning) -> None:
    under.sign()
    (row,) = listed(under)
    assert (row["session_id"], row["practitioner_name"], row["age_hours"]) == (
        under.session_id,
        "Paula",
        0,
    )
    assert listed(under, Role.PRACTITIONER) == [row]
    assert listed(under, Role.PRACTITIONER, to_co_sign="true") == []
    rosas = ok(under.by().get("notes/awaiting-co-signature", {"to_co_sign": "true"}))["results"]
    assert rosas == [row]
    olga = under.built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    other = under.by(account("olga", Role.PRACTITIONER, under.built.east, of=olga))
    assert ok(other.get("notes/awaiting-co-signature"))["results"] == []
    assert listed(under, status="returned") == []
    assert listed(under, status="waiting") == [row]
    day = Session.objects.get(pk=under.session_id).local_date
    assert listed(under, Role.OWNER, **{"from": str(day), "to": str(day)}) == [row]
    assert listed(under, Role.OWNER, **{"from": str(day + timedelta(days=1))}) == []


def test_the_list_shows_a_supervisor_only_the_days_that_they_supervised(under: CoSigning) -> None:
    under.sign()
    day = Session.objects.get(pk=under.session_id).local_date
    second = practitioner("Sol Weber", Credential.PHYSICAL_THERAPIST, under.built.east)
    supervise(under.built, second, day + timedelta(days=1))
    sol = under.by(account("sol", Role.PRACTITIONER, under.built.east, of=second))
    assert ok(sol.get("notes/awaiting-co-signature"))["results"] == []
    refused(under.co_sign(sol), 403, "may_not_co_sign")


def test_where_the_supervisor_left_the_owner_sees_that_nobody_can(under: CoSigning) -> None:
    under.sign()
    Practitioner.objects.filter(pk=under.rosa.pk).update(is_active=False)
    seal_rows(Practitioner.objects.filter(pk=under.rosa.pk))
    (row,) = listed(under)
    assert row["co_signature"]["nobody"] == ["Rosa Amsel has left"]
    assert row["co_signature"]["waits_for"] == []
    assert "nobody can give: Rosa Amsel has left." in row["co_signature"]["text"]
    refused(under.co_sign(), 403, "may_not_co_sign")


def test_work_by_hand_without_any_supervisor_waits_and_says_that_nobody_is_named(
    built: Built,
) -> None:
    under = CoSigning.furnished(built, law=False)
    rows = ok(built.api(Role.OWNER).get("supervisions"))["results"]
    assert built.api(Role.OWNER).delete(f"supervisions/{rows[0]['id']}").status_code == 204
    under_supervision(built)
    done = line()
    explained = {done["line_id"]: "Nobody was there."}
    signed = under.sign(lines=[done], explanations=explained)
    assert signed["supervisor_id"] is None
    assert signed["co_signature"]["nobody"] == [
        "nobody is on record as supervisor of its author that day"
    ]


def test_a_note_entered_in_error_leaves_the_list(under: CoSigning) -> None:
    under.sign()
    path = f"sessions/{under.session_id}/entry-in-error"
    ok(under.phone.api.post(path, {"reason": "Another client."}, key=key()))
    assert listed(under) == []
    refused(under.co_sign(), 409, "note_entered_in_error")
    assert under.read()["co_signature"]["text"].startswith("The note was entered in error")
