"""A return taken back, and a co-signer named by the owner where nobody of that day can."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from clients.record.selectors import client_history
from practice.audit.rebuild import compare
from practice.core.terms import Credential, Role
from practice.people_and_places.models.practitioners import Licence, Practitioner, Supervision
from practice.people_and_places.models.staff import Staff
from sessions.notes.models import Note
from tests.builders import Built, account, build_practice, ok, practitioner, refused
from tests.sessions.notes.co_signing import CoSigning

pytestmark = pytest.mark.django_db
WHY = "Sol has worked with both of them for years."


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def under(built: Built) -> CoSigning:
    found = CoSigning.furnished(built)
    found.sign()
    return found


def take_back(under: CoSigning, who: Staff | None = None, reason: str = "Read past it.") -> Any:
    path = f"{under.phone.path}/return/take-back"
    return under.by(who).post(path, {"reason": reason}, match=under.read()["version"])


def name(under: CoSigning, who: Practitioner, *, match: int | None = None, **sent: Any) -> Any:
    body = {"practitioner_id": str(who.pk), "reason": WHY, **sent}
    owner = vars(under).setdefault("owner", under.built.api(Role.OWNER))
    path = f"{under.phone.path}/co-signer"
    return owner.post(path, body, match=match or under.read()["version"])


def gone(under: CoSigning) -> None:
    """The only supervisor of that day has left."""
    Practitioner.objects.filter(pk=under.rosa.pk).update(is_active=False)


def sol_of(under: CoSigning) -> tuple[Practitioner, Staff]:
    sol = practitioner("Sol Weber", Credential.PHYSICAL_THERAPIST, under.built.east)
    return sol, account("sol", Role.PRACTITIONER, under.built.east, of=sol)


def test_a_return_is_taken_back_with_a_reason_and_the_note_waits_again(under: CoSigning) -> None:
    ok(under.give_back())
    refused(take_back(under, reason=" "), 400, "invalid")
    state = ok(take_back(under))["co_signature"]
    assert (state["status"], [one["act"] for one in state["acts"]]) == (
        "waiting",
        ["returned", "return_taken_back"],
    )
    assert state["acts"][-1]["words"] == "Read past it."
    refused(take_back(under), 409, "not_returned")
    assert ok(under.co_sign(), 201)["co_signature"]["status"] == "co_signed"
    texts = [one["text"] for one in client_history(Note.objects.get().client_id)["results"]]
    assert any("was taken back: Read past it." in one for one in texts)
    assert compare().differences == []


def test_a_return_that_was_answered_is_not_taken_back(under: CoSigning) -> None:
    ok(under.give_back())
    under.add("The client said more.")
    refused(take_back(under), 409, "not_returned")


def test_after_a_co_signature_it_wants_another_look_again(under: CoSigning) -> None:
    ok(under.co_sign(), 201)
    under.add("Pain after.")
    ok(under.give_back())
    assert ok(take_back(under))["co_signature"]["status"] == "addendum_since"


def test_each_takes_back_their_own_return_alone(under: CoSigning) -> None:
    sol, of_sol = sol_of(under)
    Supervision.objects.create(
        supervisor=sol,
        supervised=under.built.practitioners[Credential.PHYSICAL_THERAPIST],
        facility=under.built.west,
        day=Note.objects.get().local_date,
    )
    ok(under.give_back())
    refused(take_back(under, of_sol), 403, "not_your_return")
    path, match = f"{under.phone.path}/return", under.read()["version"]
    ok(under.by(of_sol).post(path, {"reason": "Say which side."}, match=match))
    state = ok(take_back(under))["co_signature"]
    assert (state["status"], state["text"].split(",")[0]) == ("returned", "Returned by Sol Weber")
    assert ok(take_back(under, of_sol))["co_signature"]["status"] == "waiting"
    assert compare().differences == []


def test_where_nobody_can_the_owner_names_who_co_signs_and_all_views_say_why(
    under: CoSigning,
) -> None:
    sol, of_sol = sol_of(under)
    gone(under)
    refused(under.co_sign(under.by(of_sol)), 403, "may_not_co_sign")
    state = ok(name(under, sol))["co_signature"]
    assert (state["status"], state["nobody"]) == ("waiting", [])
    assert state["text"] == (
        f"The note waits for the co-signature of Sol Weber (named by the owner: {WHY})."
    )
    assert [(one["name"], one["reason"]) for one in state["waits_for"]] == [("Sol Weber", WHY)]
    rows = ok(under.by(of_sol).get("notes/awaiting-co-signature", {"to_co_sign": "true"}))
    assert [one["id"] for one in rows["results"]] == [str(Note.objects.get().pk)]
    done = ok(under.co_sign(under.by(of_sol)), 201)["co_signature"]
    assert [one["act"] for one in done["acts"]] == ["named", "co_signed"]
    assert done["text"].startswith("Co-signed by Sol Weber")
    assert done["text"].endswith(
        f"Named by the owner in place of the supervisor (Rosa Amsel has left): {WHY}"
    )
    texts = [one["text"] for one in client_history(Note.objects.get().client_id)["results"]]
    named = "Sol Weber, physical therapist, was named by the owner to co-sign the note"
    assert f"{named} (Rosa Amsel has left): {WHY}" in texts
    assert compare().differences == []


def test_nobody_is_named_while_somebody_can_co_sign(under: CoSigning) -> None:
    sol, _ = sol_of(under)
    told = refused(name(under, sol), 409, "somebody_can_co_sign")
    assert told["detail"].startswith("Rosa Amsel can")
    gone(under)
    ok(name(under, sol))
    refused(name(under, sol), 409, "somebody_can_co_sign")
    Practitioner.objects.filter(pk=sol.pk).update(is_active=False)
    other = practitioner("Ida Frank", Credential.PHYSICAL_THERAPIST, under.built.east)
    state = ok(name(under, other))["co_signature"]
    assert [one["name"] for one in state["waits_for"]] == ["Ida Frank"]


@pytest.mark.parametrize("why", ["author", "credential", "place", "licence", "below"])
def test_who_could_not_have_supervised_is_not_named(under: CoSigning, why: str) -> None:
    built = under.built
    gone(under)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    who = paula
    if why != "author":
        kind = Credential.MASSAGE_THERAPIST if why == "credential" else paula.credential
        where = built.west if why == "place" else built.east
        who = practitioner("Sol Weber", Credential(kind), where)
    if why == "licence":
        Licence.objects.filter(practitioner=who).delete()
    if why == "below":
        Supervision.objects.create(
            supervisor=paula, supervised=who, facility=built.east, day=Note.objects.get().local_date
        )
    said = {
        "author": "nobody co-signs their own note",
        "credential": "does not supervise",
        "place": "is not assigned to the facility",
        "licence": "has no licence",
        "below": "worked under its author",
    }
    assert said[why] in refused(name(under, who), 409, "may_not_co_sign")["detail"]


def test_a_naming_says_why_whom_and_of_what_was_read(under: CoSigning) -> None:
    sol, _ = sol_of(under)
    gone(under)
    refused(name(under, sol, reason=" "), 400, "invalid")
    refused(name(under, sol, practitioner_id=str(uuid4())), 400, "invalid")
    refused(name(under, sol, match=under.read()["version"] + 1), 412, "stale_version")
    refused(under.by().post(f"{under.phone.path}/co-signer", {}, match=1), 403, "forbidden")


def test_a_note_that_waits_for_none_has_nobody_named(built: Built) -> None:
    under = CoSigning.furnished(built, law=False, co_signs=False)
    under.sign()
    sol, _ = sol_of(under)
    refused(name(under, sol), 409, "co_signature_not_required")


def test_who_was_named_may_return_it_and_it_is_named_in_the_record(under: CoSigning) -> None:
    sol, of_sol = sol_of(under)
    gone(under)
    ok(name(under, sol))
    path, match = f"{under.phone.path}/return", under.read()["version"]
    state = ok(under.by(of_sol).post(path, {"reason": "Say which side."}, match=match))
    assert state["co_signature"]["status"] == "returned"
    note = Note.objects.get()
    record = ok(under.built.api(Role.OWNER).get(f"clients/{note.client_id}/record"))
    found = record["more"]["co_signatures"][str(note.session_id)]["named"]
    assert (found["name"], found["reason"]) == ("Sol Weber", WHY)


def test_who_was_named_stays_in_the_record_once_they_co_signed(under: CoSigning) -> None:
    sol, of_sol = sol_of(under)
    gone(under)
    ok(name(under, sol))
    ok(under.co_sign(under.by(of_sol)), 201)
    note = Note.objects.get()
    record = ok(under.built.api(Role.OWNER).get(f"clients/{note.client_id}/record"))
    found = record["more"]["co_signatures"][str(note.session_id)]
    assert (found["status"], found["named"]["name"]) == ("co_signed", "Sol Weber")


def test_a_supervisor_who_can_again_co_signs_as_such(under: CoSigning) -> None:
    sol, _ = sol_of(under)
    gone(under)
    ok(name(under, sol))
    Practitioner.objects.filter(pk=under.rosa.pk).update(is_active=True)
    done = ok(under.co_sign(), 201)["co_signature"]
    assert done["text"].startswith("Co-signed by Rosa Amsel")
    assert "named by the owner" not in done["text"].lower()


def test_who_was_replaced_is_told_why_their_return_stands(under: CoSigning) -> None:
    sol, of_sol = sol_of(under)
    gone(under)
    ok(name(under, sol))
    path, match = f"{under.phone.path}/return", under.read()["version"]
    ok(under.by(of_sol).post(path, {"reason": "Say which side."}, match=match))
    Practitioner.objects.filter(pk=sol.pk).update(is_active=False)
    ok(name(under, practitioner("Ida Frank", Credential.PHYSICAL_THERAPIST, under.built.east)))
    told = refused(take_back(under, of_sol), 403, "named_since")
    assert "the owner named Ida Frank" in told["detail"]
    refused(take_back(under), 403, "not_your_return")
    under.add("The left.")
    assert under.read()["co_signature"]["status"] == "waiting"


def test_whose_supervision_was_taken_off_the_record_is_not_told_of_a_naming(
    under: CoSigning,
) -> None:
    ok(under.give_back())
    Supervision.objects.all().delete()
    told = refused(take_back(under), 403, "may_not_co_sign")
    assert "you did not supervise its author that day" in told["detail"]
    assert "named" not in told["detail"]
