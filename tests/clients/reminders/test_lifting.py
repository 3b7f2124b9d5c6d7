"""An address that failed works again; a client says stop to a person, and later changes their
mind: at their own word alone, with who and when."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest
from django.core import mail
from django.db.models import QuerySet
from rest_framework.test import APIClient

from clients.identity.domain.contact import ContactBy, Phone
from clients.identity.models import Client
from clients.reminders.calls import ADDRESSES_FAILED
from clients.reminders.models import ContactNotice
from clients.reminders.services.notices import keep_notice, take_reply
from clients.reminders.texting import TextReply
from practice.clock import clock
from practice.core.terms import Role
from practice.work.loading import load_events
from tests.builders import Api, Built, ok
from tests.clients.reminders.given import (
    NUMBER,
    booked_tomorrow,
    by_text,
    of_kind,
    on_day,
    reachable,
    tick,
)
from tests.clients.reminders.test_ending_messages import FORM, mailed, on_list

KIND = "session_tomorrow"
WORKS = {"reason": "The client says that the mailbox was full."}
AGAIN: dict[str, Any] = {"reason": "The client called and wants the mails again."}
PHONED = {"said_by": "phone", "words": "Please no more."}


def refused(client_id: UUID, number: int = 1, address: str = "rosa@example.org") -> ContactNotice:
    return keep_notice(
        key=f"refused:{number}",
        client_id=client_id,
        kind=ContactNotice.Kind.REFUSED,
        channel="mail",
        address=address,
        words="550 no such mailbox",
    )


def signed_in(built: Built, role: Role) -> Api:
    """Signed in once: the clock stands."""
    kept = vars(built)
    name = "desk" if role is Role.FRONT_DESK else role.value
    if name not in kept:
        kept[name] = built.api(role)
    found: Api = kept[name]
    return found


def lift(built: Built, notice: Any, body: dict[str, str], role: Role = Role.FRONT_DESK) -> Any:
    pk = notice["id"] if isinstance(notice, dict) else notice.pk
    return signed_in(built, role).post(f"contact-notices/{pk}/lifting", body)


def told(built: Built, client_id: UUID, **changes: Any) -> Any:
    body = {**PHONED, **changes}
    return signed_in(built, Role.FRONT_DESK).post(f"clients/{client_id}/contact-notices", body)


def goes(built: Built, client_id: UUID, days: int = 5) -> bool:
    """Whether a reminder of a session is mailed."""
    before = len(mail.outbox)
    booked_tomorrow(built, client_id, days=days)
    tick(on_day(days - 1))
    return len(mail.outbox) > before


def test_a_lifted_address_is_written_to_again_and_leaves_the_call_list(built: Built) -> None:
    client_id = reachable(built)
    notice = refused(client_id)
    assert not goes(built, client_id)
    entry = ok(signed_in(built, Role.OWNER).get("call-list", {"reason": "address_failed"}))[
        "results"
    ]
    assert [one["about_id"] for one in entry] == [str(notice.pk)], "lifted by the entry's own id"
    shown = ok(lift(built, notice, WORKS))
    desk = built.staff[Role.FRONT_DESK].pk
    assert (shown["lifted_by"], shown["lifted_because"]) == (str(desk), WORKS["reason"])
    assert shown["lifted_at"]
    assert on_list(built, "address_failed") == []
    assert goes(built, client_id, days=8)


def test_every_failure_of_the_address_is_lifted_and_no_other(built: Built) -> None:
    client_id, other = reachable(built), reachable(built)
    first, second = refused(client_id), refused(client_id, 2)
    elsewhere, theirs = refused(client_id, 3, "old@example.org"), refused(other, 4)
    ok(lift(built, second, WORKS))
    lifted = set(ContactNotice.objects.exclude(lifted_at=None).values_list("pk", flat=True))
    assert lifted == {first.pk, second.pk}
    assert {elsewhere.pk, theirs.pk}.isdisjoint(lifted)


def test_lifted_again_it_stays_as_it_was_and_failing_again_it_fails(built: Built) -> None:
    client_id = reachable(built)
    notice = refused(client_id)
    before = ok(lift(built, notice, WORKS))
    refused(client_id, 2)
    assert ok(lift(built, notice, WORKS, Role.OWNER)) == before
    assert not goes(built, client_id)


def test_lifted_for_another_reason_afterwards_it_is_said_what_stands(built: Built) -> None:
    client_id = reachable(built)
    notice = refused(client_id)
    before = ok(lift(built, notice, WORKS))
    answer = lift(built, notice, AGAIN, Role.OWNER)
    assert (answer.status_code, answer.json()["code"]) == (409, "already_lifted")
    assert WORKS["reason"] in answer.json()["detail"]
    assert answer.json()["lifted_because"] == WORKS["reason"]
    assert answer.json()["standing_notice_id"] is None
    since = refused(client_id, 2)
    answer = lift(built, notice, AGAIN, Role.OWNER)
    assert answer.json()["standing_notice_id"] == str(since.pk), "that one is to be lifted"
    assert ok(lift(built, notice, WORKS)) == before


def test_a_stop_said_again_in_other_words_is_kept_beside_the_first(built: Built) -> None:
    """By the link, by phone, by phone in other words; and the same once more."""
    client_id, link = mailed(built)
    APIClient().post(link, "", content_type=FORM)
    first = ok(told(built, client_id, channels=["mail"]), 201)
    other = ok(told(built, client_id, channels=["mail"], words="I said so: no mails."), 201)
    assert ok(told(built, client_id, channels=["mail"]), 201)["id"] == first["id"]
    rows = ContactNotice.objects.filter(client_id=client_id).order_by("at", "id")
    assert {one.words for one in rows} == {"", "phone: Please no more.", other["words"]}
    assert other["words"] == "phone: I said so: no mails."
    ok(lift(built, first, AGAIN))
    assert not rows.filter(lifted_at=None).exists(), "one word takes all of them back"


def test_a_stop_said_by_phone_in_the_words_of_a_reply_is_kept_with_who_was_told(
    built: Built,
) -> None:
    client_id = by_text(built)
    keep_notice(key="r2", client_id=client_id, kind="stopped", channel="text", words="phone: stop")
    shown = ok(told(built, client_id, channels=["text"], words="stop"), 201)
    assert shown["noted_by"] == str(built.staff[Role.FRONT_DESK].pk)


@pytest.mark.parametrize("reason", ["", "   "])
def test_lifting_says_why(built: Built, reason: str) -> None:
    notice = refused(reachable(built))
    assert lift(built, notice, {"reason": reason}).status_code == 400
    assert lift(built, notice, {}).status_code == 400


def test_a_reply_holds_nothing_up(built: Built) -> None:
    client_id = by_text(built)
    booked_tomorrow(built, client_id)
    tick(on_day(4))
    take_reply(TextReply("r1", NUMBER, "Thank you"))
    assert lift(built, ContactNotice.objects.get(), WORKS).status_code == 409


def test_said_on_the_phone_it_ends_at_once_as_by_the_link(built: Built) -> None:
    client_id = reachable(built)
    booked_tomorrow(built, client_id)
    tick(on_day(3, 23))  # Decided on or not: it has not gone.
    shown = ok(told(built, client_id), 201)
    desk = built.staff[Role.FRONT_DESK].pk
    assert (shown["kind"], shown["noted_by"]) == ("stopped", str(desk))
    assert shown["words"] == "phone: Please no more."
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.NONE
    assert load_events(client_id)[-1].data.changed == ("contact_by",)
    tick(on_day(4))
    assert mail.outbox == []
    assert on_list(built, "client_answered") == [], "the desk knows"


def test_one_channel_or_all(built: Built) -> None:
    phones = (Phone(number=NUMBER, texts=True),)
    also = (ContactBy.TEXT, ContactBy.PHONE)
    wishes = {"contact_also_by": also, "phones": phones, "phone": NUMBER}
    client_id = reachable(built, **wishes)
    ok(told(built, client_id, channels=["mail"], said_by="in_person"), 201)
    row = Client.objects.get(pk=client_id)
    assert (row.contact_by, row.contact_also_by) == (ContactBy.TEXT, [ContactBy.PHONE])
    ok(told(built, client_id), 201)
    row.refresh_from_db()
    assert (row.contact_by, row.contact_also_by) == (ContactBy.PHONE, [])
    assert [one["texts"] for one in row.phones] == [False]
    stops = ContactNotice.objects.filter(kind="stopped").order_by("channel", "at")
    said = [(one.channel, one.words.partition(":")[0]) for one in stops]
    assert said == [("mail", "in_person"), ("mail", "phone"), ("text", "phone")]
    ok(told(built, client_id), 201)
    assert stops.count() == 3, "what was said is kept once"


def test_by_phone_or_by_link_the_desk_cannot_allow_again_what_the_client_ended(
    built: Built,
) -> None:
    client_id, link = mailed(built)
    APIClient().post(link, "", content_type=FORM)
    desk, path = signed_in(built, Role.FRONT_DESK), f"clients/{client_id}"
    notice = ContactNotice.objects.get()
    for change in ({"contact_by": "mail"}, {"contact_by": "phone", "contact_also_by": ["mail"]}):
        answer = desk.patch(path, {**change, "phone": NUMBER})
        assert answer.status_code == 409
        assert answer.json()["contact_notice_id"] == str(notice.pk)
    ok(desk.patch(path, {"contact_by": "phone", "phone": NUMBER}))
    ok(desk.patch(path, {"email": "new@example.org"}))
    ok(lift(built, notice, AGAIN))
    row = Client.objects.get(pk=client_id)
    assert (row.contact_by, row.contact_also_by) == (ContactBy.PHONE, [ContactBy.MAIL])
    assert goes(built, client_id, days=8)


def test_a_list_is_no_message_to_stop(built: Built) -> None:
    client_id = reachable(built)
    assert told(built, client_id, channels=["mail", "list"]).status_code == 400
    assert not ContactNotice.objects.exists()


def test_other_details_are_changed_whatever_the_client_ended(built: Built) -> None:
    client_id = reachable(built)
    keep_notice(key="s", client_id=client_id, kind="stopped", channel="mail", words="")
    desk, path = signed_in(built, Role.FRONT_DESK), f"clients/{client_id}"
    ok(desk.patch(path, {"given_name": "Rosalind"}))


def test_texts_that_were_ended_come_back_at_the_first_number_by_the_client_s_word(
    built: Built,
) -> None:
    client_id = by_text(built)
    shown = ok(told(built, client_id, channels=["text"]), 201)
    desk, texts = signed_in(built, Role.FRONT_DESK), [{"number": NUMBER, "texts": True}]
    refused_ = desk.patch(f"clients/{client_id}", {"phones": texts, "contact_by": "phone"})
    assert refused_.json()["code"] == "client_said_stop"
    ok(lift(built, shown, AGAIN))
    row = Client.objects.get(pk=client_id)
    assert (row.contact_by, [one["texts"] for one in row.phones]) == (ContactBy.TEXT, [True])


def test_a_stop_that_was_taken_back_does_not_come_back_by_itself(built: Built) -> None:
    """The provider sends a reply again; the link in the old mail is opened anew."""
    client_id, link = mailed(built)
    APIClient().post(link, "", content_type=FORM)
    ok(lift(built, ContactNotice.objects.get(), AGAIN))
    reply = TextReply("r1", NUMBER, "STOP")
    texted = by_text(built)
    booked_tomorrow(built, texted, hour=9)
    tick(on_day(4))
    take_reply(reply)
    ok(lift(built, ContactNotice.objects.get(client_id=texted), AGAIN))
    take_reply(reply)
    assert Client.objects.get(pk=texted).contact_by == ContactBy.TEXT
    APIClient().post(link, "", content_type=FORM)
    assert Client.objects.get(pk=client_id).contact_by == ContactBy.NONE, "they asked again"
    mine = ContactNotice.objects.filter(client_id=client_id)
    assert (mine.count(), mine.filter(lifted_at=None).count()) == (2, 1)


def test_what_came_back_is_listed_with_who_lifted_it(built: Built) -> None:
    client_id = reachable(built)
    with clock.at(on_day(0, 9)):
        notice = refused(client_id)
    ok(lift(built, notice, WORKS))
    ok(told(built, client_id), 201)
    rows = ok(signed_in(built, Role.FRONT_DESK).get(f"clients/{client_id}/contact-notices"))[
        "results"
    ]
    assert {one["kind"] for one in rows} == {"refused", "stopped"}
    (failed,) = [one for one in rows if one["kind"] == "refused"]
    assert (failed["address"], failed["lifted_because"]) == ("rosa@example.org", WORKS["reason"])


def failed(built: Built) -> list[str]:
    rows = ok(signed_in(built, Role.OWNER).get("call-list", {"reason": "address_failed"}))
    return [one["about_id"] for one in rows["results"]]


def test_an_address_that_was_replaced_needs_no_call_and_stays_among_what_came_back(
    built: Built,
) -> None:
    client_id, desk = reachable(built), signed_in(built, Role.FRONT_DESK)
    path = f"clients/{client_id}"
    refused(client_id)
    refused(client_id, 2, "older@example.org")
    assert len(failed(built)) == 1, "only the address on the record"
    ok(desk.patch(path, {"email": "new@example.org"}))
    assert failed(built) == []
    rows = ok(desk.get(f"{path}/contact-notices"))["results"]
    assert [one["lifted_at"] for one in rows] == [None, None]
    assert [one["replaced"] for one in rows] == [True, True]
    ok(desk.patch(path, {"email": "rosa@example.org"}))
    assert len(failed(built)) == 1, "given again, it is to be asked for"
    rows = ok(desk.get(f"{path}/contact-notices"))["results"]
    assert {one["address"]: one["replaced"] for one in rows} == {
        "rosa@example.org": False,
        "older@example.org": True,
    }


def test_what_was_said_of_no_address_is_never_replaced(built: Built) -> None:
    client_id, desk = reachable(built), signed_in(built, Role.FRONT_DESK)
    ok(told(built, client_id), 201)
    ok(desk.patch(f"clients/{client_id}", {"email": "new@example.org"}))
    rows = ok(desk.get(f"clients/{client_id}/contact-notices"))["results"]
    assert {one["replaced"] for one in rows} == {False}


def test_a_replaced_address_is_not_read_by_the_call_list_at_all(built: Built) -> None:
    client_id, desk = reachable(built), signed_in(built, Role.FRONT_DESK)
    refused(client_id)
    assert to_call().count() == 1
    ok(desk.patch(f"clients/{client_id}", {"email": "new@example.org"}))
    refused(client_id, 2, "older@example.org")
    assert to_call().count() == 0, "neither one that was replaced nor one that came back late"


def to_call() -> QuerySet[Any]:
    return ADDRESSES_FAILED.rows(clock.now())


def test_a_page_is_full_although_some_of_its_rows_need_no_call(built: Built) -> None:
    clients = [reachable(built) for _ in range(2)]
    with clock.at(on_day(-2, 9)):
        for number in range(3):
            refused(clients[0], number, f"old{number}@example.org")
    with clock.at(on_day(-1, 9)):
        present = [refused(one, 10 + number) for number, one in enumerate(clients)]
    asked = {"reason": "address_failed", "page_size": "1"}
    owner = signed_in(built, Role.OWNER)
    first = ok(owner.get("call-list", asked))
    rest = ok(owner.get("call-list", {**asked, "cursor": first["next_cursor"]}))
    seen = [one["about_id"] for one in (*first["results"], *rest["results"])]
    assert sorted(seen) == sorted(str(one.pk) for one in present)
    assert rest["next_cursor"] is None


def test_a_number_that_was_replaced_needs_no_call(built: Built) -> None:
    client_id = by_text(built)
    other = "+12155550188"
    keep_notice(
        key="w1",
        client_id=client_id,
        kind=ContactNotice.Kind.WRONG_NUMBER,
        channel="text",
        address=NUMBER,
        words="wrong number",
    )
    assert len(failed(built)) == 1
    desk, phones = signed_in(built, Role.FRONT_DESK), [{"number": other, "texts": True}]
    ok(desk.change(f"clients/{client_id}", {"phones": phones, "phone": other}))
    assert failed(built) == []


def test_another_place_s_client_is_none_of_the_desk_s(built: Built) -> None:
    client_id = reachable(built, facility_ids=(built.west.pk,), zone=built.west.zone)
    notice = refused(client_id)
    assert lift(built, notice, WORKS).status_code == 404
    assert told(built, client_id).status_code == 404
    assert of_kind(KIND) == []
