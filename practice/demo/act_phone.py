"""Acts 9 and 10, the client on the phone: the call list, all at a glance, what is on record."""

from __future__ import annotations

from practice.demo.callers import PREFIX, DemoResponse
from practice.demo.checks import has
from practice.demo.telling import DemoStory, new_id


def the_call(story: DemoStory) -> None:
    """What consent withdrawn left to tell the client, and the call about it."""
    story.act(9, "The front desk calls")
    do, listed = story.do, f"/call-list?client_id={story['client']}"
    entry = do(
        "front desk",
        "GET",
        listed,
        gives=200,
        means="on the call list: which sessions narrowed, the phone, what time it is there",
        check=_narrowed,
    )["results"][0]
    do(
        "front desk",
        "POST",
        f"/clients/{entry['client_id']}/calls",
        {"outcome": "left_message", "note": "Asked to call back."},
        gives=201,
        means="nobody answers: a message is left, and kept with who called",
        check=lambda answer: (
            has(answer.body, {"outcome": "left_message", "called_by_name": "Pilar Quist"})
            and entry["about_id"] in {one["id"] for one in answer["about"]}
        ),
    )
    do(
        "front desk",
        "GET",
        f"/clients/{story['client']}/at-a-glance",
        gives=200,
        means="the client calls back: contact, consent, next visits, what is left, all at once",
        check=lambda answer: (
            has(answer["contact"], {"name": "Noor Castellan", "phone": "+14155550188"})
            and answer["consent"]["stands"] is False
            and story["session"] in {one["id"] for one in answer["next_visits"]}
            and [one["visits_left"] for one in answer["authorizations"]] == [11]
            and [one["outcome"] for one in answer["last_calls"]] == ["left_message"]
        ),
    )
    do(
        "front desk",
        "POST",
        f"/clients/{story['client']}/calls",
        {"outcome": "reached", "note": "Knows of it, comes all the same."},
        gives=201,
        means="told, and so off the list",
        check=lambda answer: answer["outcome"] == "reached" and len(answer["about"]) > 0,
    )


def _narrowed(answer: DemoResponse) -> bool:
    rows = answer["results"]
    return len(rows) > 0 and all(
        one["reason"] == "session_narrowed"
        and one["client_phone"] == "+14155550188"
        and one["text"].endswith("nothing hands-on now.")
        and len(one["their_time"]) == len("14:05")
        for one in rows
    )


def on_record(story: DemoStory) -> None:
    """A client asks what is on record of them."""
    story.act(10, "The client asks what is on record")
    do, path = story.do, f"/clients/{story['client']}/record-requests"
    asked = {"asked_by": "client", "purpose": "wants to read it at home"}
    do(
        "front desk",
        "POST",
        path,
        asked,
        gives=403,
        means="it holds all of the record: in this practice the owner gives it",
        key=new_id(),
        check=lambda answer: bool(answer["detail"]) and answer["status"] == 403,
    )
    given = do(
        "owner",
        "POST",
        path,
        asked,
        gives=201,
        means="made in one request, with its SHA-256",
        key=new_id(),
        check=lambda answer: answer["recipient"] == "the client" and len(answer["sha256"]) == 64,
    )
    do(
        "owner",
        "GET",
        given["printout"].removeprefix(PREFIX),
        gives=200,
        means="to print and hand over: every event in a sentence",
        check=lambda answer: "Noor Castellan" in answer.body and "withdr" in answer.body,
    )
    do(
        "owner",
        "GET",
        f"/clients/{story['client']}/disclosures",
        gives=200,
        means="and it is on the client's accounting of disclosures",
        check=lambda answer: (
            [one["recipient"] for one in answer["results"]].count("the client") == 1
            and {given["id"]} <= {one["id"] for one in answer["results"]}
        ),
    )
