"""A reply whose number fits no client is kept until a person settles it; a STOP holds for its
number whoever it is recorded for."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.identity.domain.contact import ContactBy, Phone
from clients.identity.models import Client
from clients.reminders.domain.rules import Channel
from clients.reminders.models import ContactNotice, UnknownReply
from clients.reminders.selectors import Route, failed_addresses, route_to
from clients.reminders.services.notices import take_reply
from clients.reminders.texting import TextReply
from practice.core.terms import Role
from tests.builders import Api, Built, account, ok, refused, token_for
from tests.clients.bodies import CLIENT
from tests.clients.reminders.given import by_text, reachable
from tests.clients.reminders.test_lifting import AGAIN, lift, signed_in

STRANGE = "+12155550177"
NOBODY: dict[str, Any] = {"reason": "Somebody asks for a taxi."}


def came(words: str = "Is it today?", key: str = "r1") -> UnknownReply:
    take_reply(TextReply(key, STRANGE, words))
    return UnknownReply.objects.get(key=key)


def settle(built: Built, row: UnknownReply, role: Role = Role.FRONT_DESK, **body: Any) -> Any:
    return signed_in(built, role).post(f"unknown-replies/{row.pk}/settlement", body)


def listed(built: Built, **asked: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ok(
        signed_in(built, Role.FRONT_DESK).get("unknown-replies", asked)
    )["results"]
    return found


def test_it_is_kept_encrypted_and_once_until_somebody_settles_it(built: Built) -> None:
    row = came()
    assert came().pk == row.pk
    assert STRANGE.encode() not in bytes(row.sealed)
    (shown,) = listed(built, settled="open")
    assert (shown["number"], shown["words"], shown["stops"], shown["settled"]) == (
        STRANGE,
        "Is it today?",
        False,
        "",
    )
    done = ok(settle(built, row, **NOBODY))
    assert (done["settled"], done["reason"]) == ("discarded", NOBODY["reason"])
    assert done["settled_by"] == str(built.staff[Role.FRONT_DESK].pk)
    assert listed(built, settled="open") == []
    assert listed(built, settled="discarded")[0]["words"] == "Is it today?"


def test_a_reply_of_a_known_number_is_the_client_s_and_nobody_else_s(built: Built) -> None:
    by_text(built, STRANGE)
    take_reply(TextReply("r1", STRANGE, "Is it today?"))
    assert not UnknownReply.objects.exists()


@pytest.mark.parametrize(
    ("words", "kind"),
    [("Is it today?", "replied"), ("Wrong number", "wrong_number"), ("STOP", "stopped")],
)
def test_assigned_it_is_the_client_s_notice_as_if_it_came_from_them(
    built: Built, words: str, kind: str
) -> None:
    client_id = by_text(built)
    row = came(words)
    done = ok(settle(built, row, client_id=str(client_id)))
    assert (done["settled"], done["number"], done["words"]) == ("assigned", "", "")
    notice = ContactNotice.objects.get()
    assert (notice.kind, notice.words, notice.address) == (kind, words, STRANGE)
    ended = Client.objects.get(pk=client_id).contact_by == ContactBy.NONE
    assert ended == (kind == "stopped")


def test_settled_again_alike_it_stays_and_otherwise_it_is_said(built: Built) -> None:
    client_id, other = by_text(built), by_text(built)
    row, second = came(), came(key="r2")
    first = ok(settle(built, row, client_id=str(client_id)))
    assert ok(settle(built, row, Role.OWNER, client_id=str(client_id)))["id"] == first["id"]
    refused(settle(built, row, client_id=str(other)), 409, "already_settled")
    refused(settle(built, row, **NOBODY), 409, "already_settled")
    ok(settle(built, second, **NOBODY))
    ok(settle(built, second, **NOBODY))
    told = refused(settle(built, second, reason="Another."), 409, "already_settled")
    assert NOBODY["reason"] in told["detail"]
    assert ContactNotice.objects.count() == 1


def test_what_was_discarded_by_slip_is_given_to_its_client_with_a_reason(built: Built) -> None:
    row, client_id, other = came("I cannot come."), by_text(built), by_text(built)
    ok(settle(built, row, Role.OWNER, **NOBODY))
    told = refused(settle(built, row, client_id=str(client_id)), 409, "already_settled")
    assert "name them and the reason" in told["detail"]
    why: dict[str, Any] = {"client_id": str(client_id), "reason": "The client's new number."}
    done = ok(settle(built, row, **why))
    assert (done["settled"], done["words"], done["number"]) == ("assigned", "", "")
    assert (done["reason"], done["correction"]) == (NOBODY["reason"], why["reason"])
    assert done["discarded_by"] == str(built.staff[Role.OWNER].pk)
    assert done["settled_by"] == str(built.staff[Role.FRONT_DESK].pk)
    assert ContactNotice.objects.get(client_id=client_id).words == "I cannot come."
    again = ok(settle(built, row, Role.OWNER, **why))
    assert (again["settled_by"], again["correction"]) == (done["settled_by"], why["reason"])
    refused(settle(built, row, **{**why, "client_id": str(other)}), 409, "already_settled")
    refused(settle(built, row, **NOBODY), 409, "already_settled")
    assert ContactNotice.objects.count() == 1


def test_another_reason_for_what_was_corrected_is_refused_and_not_swallowed(built: Built) -> None:
    row, client_id = came("I cannot come."), by_text(built)
    ok(settle(built, row, **NOBODY))
    why: dict[str, Any] = {"client_id": str(client_id), "reason": "The client's new number."}
    ok(settle(built, row, **why))
    assert ok(settle(built, row, client_id=str(client_id)))["correction"] == why["reason"]
    told = refused(settle(built, row, **{**why, "reason": "number."}), 409, "already_settled")
    assert told["detail"].endswith(f"The reason that was given stays: {why['reason']}")


def test_the_reason_for_which_a_stop_was_given_to_the_first_client_stays(built: Built) -> None:
    row, first, second = came("STOP"), by_text(built), by_text(built)
    ok(settle(built, row, **NOBODY))
    ok(settle(built, row, client_id=str(first), reason="The mother's number."))
    both: dict[str, Any] = {"client_id": str(second), "reason": "The daughter has it too."}
    done = ok(settle(built, row, **both))
    assert done["correction"] == "The mother's number.\n\nThe daughter has it too."
    other: dict[str, Any] = {"client_id": str(first), "reason": "The mother's number."}
    for again in (both, other):
        assert ok(settle(built, row, **again))["correction"] == done["correction"]
    assert done["reason"] == NOBODY["reason"]


def test_what_nobody_discarded_is_not_corrected(built: Built) -> None:
    row, client_id = came(), by_text(built)
    ok(settle(built, row, client_id=str(client_id)))
    refused(settle(built, row, client_id=str(client_id), **NOBODY), 400, "invalid")


def test_a_settlement_names_a_client_or_a_reason(built: Built) -> None:
    row, client_id = came(), by_text(built)
    refused(settle(built, row), 400, "invalid")
    refused(settle(built, row, reason=" "), 400, "invalid")
    refused(settle(built, row, client_id=str(client_id), **NOBODY), 400, "invalid")
    refused(settle(built, row, client_id=str(uuid4())), 404, "not_found")
    hidden = reachable(built, facility_ids=(built.west.pk,))
    refused(settle(built, row, client_id=str(hidden)), 404, "not_found")
    refused(settle(built, row, Role.PRACTITIONER, **NOBODY), 403, "forbidden")
    assert listed(built, settled="open")


def test_no_reply_is_given_to_a_client_of_a_place_that_one_does_not_see(built: Built) -> None:
    row, client_id = came("STOP"), by_text(built)
    desk = Api(token_for(account("westdesk", Role.FRONT_DESK, built.west)))
    path, there = f"unknown-replies/{row.pk}/settlement", {"client_id": str(client_id)}
    refused(desk.post(path, there), 404, "not_found")
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.TEXT
    assert not ContactNotice.objects.exists()


def with_strange(built: Built, client_id: UUID, *, texts: bool = True) -> Any:
    sent: dict[str, Any] = {"phones": [{"number": STRANGE, "texts": texts}], "contact_by": "text"}
    if not texts:
        sent["contact_by"] = "mail"
    return signed_in(built, Role.FRONT_DESK).change(f"clients/{client_id}", sent)


@pytest.mark.parametrize("discarded", [True, False])
def test_a_stop_from_an_unknown_number_holds_when_it_is_recorded(
    built: Built, discarded: bool
) -> None:
    row = came("STOP")
    if discarded:
        ok(settle(built, row, **NOBODY))
    client_id = reachable(built)
    told = refused(with_strange(built, client_id), 409, "number_said_stop")
    assert told["unknown_reply_id"] == str(row.pk)
    phones = (Phone(number=STRANGE, texts=True),)
    imported = reachable(built, contact_by=ContactBy.TEXT, phones=phones, phone=STRANGE)
    found = route_to(Client.objects.get(pk=imported), failed_addresses([imported]))
    assert found == Route(Channel.LIST), "however it came into the record"


def test_assigned_the_client_s_own_word_decides(built: Built) -> None:
    row, client_id = came("STOP"), reachable(built)
    ok(settle(built, row, client_id=str(client_id)))
    refused(with_strange(built, client_id), 409, "client_said_stop")
    ok(with_strange(built, client_id, texts=False))
    ok(lift(built, ContactNotice.objects.get(), AGAIN))
    ok(with_strange(built, client_id))
    found = route_to(Client.objects.get(pk=client_id), failed_addresses([client_id]))
    assert found is not None
    assert found.address == STRANGE
    refused(with_strange(built, reachable(built)), 409, "number_said_stop")


@pytest.mark.parametrize("discarded", [True, False])
def test_a_stop_that_was_settled_is_assigned_to_one_more_whose_number_it_is(
    built: Built, discarded: bool
) -> None:
    row, first, client_id = came("STOP"), by_text(built), reachable(built)
    ok(settle(built, row, **(NOBODY if discarded else {"client_id": str(first)})))
    told = refused(with_strange(built, client_id), 409, "number_said_stop")
    ok(settle(built, row, client_id=str(client_id)))
    assert told["unknown_reply_id"] == str(row.pk)
    notice = ContactNotice.objects.get(client_id=client_id)
    ok(with_strange(built, client_id, texts=False))
    ok(lift(built, notice, AGAIN))
    ok(with_strange(built, client_id))
    done = ok(settle(built, row, client_id=str(client_id)))
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.TEXT, "their word stands"
    assert (done["settled"], done["reason"]) == (
        "assigned",
        NOBODY["reason"] if discarded else "",
    )


def test_who_wants_no_messages_any_more_is_not_refused_for_a_stopped_number(built: Built) -> None:
    came("STOP")
    phones = (Phone(number=STRANGE, texts=True),)
    imported = reachable(built, contact_by=ContactBy.TEXT, phones=phones, phone=STRANGE)
    desk, path = signed_in(built, Role.FRONT_DESK), f"clients/{imported}"
    ok(desk.change(path, {"contact_by": "none", "contact_also_by": []}))
    refused(desk.change(path, {"contact_by": "text"}), 409, "number_said_stop")


def test_a_stopped_number_is_refused_too_where_it_is_the_only_one(built: Built) -> None:
    came("STOP")
    desk, client_id = signed_in(built, Role.FRONT_DESK), reachable(built)
    sent = {"phone": STRANGE, "contact_by": "text"}
    refused(desk.change(f"clients/{client_id}", sent), 409, "number_said_stop")
    ok(desk.change(f"clients/{client_id}", {"phone": STRANGE}))
    refused(desk.change(f"clients/{client_id}", {"contact_by": "text"}), 409, "number_said_stop")


def test_nobody_is_registered_with_texts_to_a_number_that_said_stop(built: Built) -> None:
    row, desk = came("STOP"), signed_in(built, Role.FRONT_DESK)
    texts = {**CLIENT, "phone": STRANGE, "contact_by": "text"}
    told = refused(desk.post("clients", texts), 409, "number_said_stop")
    assert told["unknown_reply_id"] == str(row.pk)
    assert not Client.objects.filter(phone=STRANGE).exists()
    ok(desk.post("clients", {**texts, "contact_by": "mail"}), 201)
