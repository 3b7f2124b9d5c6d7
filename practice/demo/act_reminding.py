"""Act 12: reminders of a session go out by mail and by text, and are ended in one step."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from practice.demo.act_watching import ANY_HOUR, BY_MAIL
from practice.demo.callers import DemoUser
from practice.demo.checks import lists, shows
from practice.demo.outbox import mail_to, put_reply, stop_path, text_to
from practice.demo.telling import DemoStory, StepFailed, new_id

NOBODYS = "+14155550102"
FROM_HOUR, AT_HOUR, LONGEST_TEXT = 10, 20, 160
BY_TEXT: dict[str, Any] = {
    "given_name": "Otis",
    "family_name": "Fairweather",
    "birth_date": "1959-12-11",
    "phone": "+14155550176",
    "phones": [{"number": "+14155550176", "texts": True}],
    "language": "en",
    "contact_by": "text",
}


def reminders(story: DemoStory) -> None:
    """Two clients are reminded, one by mail in Spanish, one by text; both end it."""
    story.act(12, "Reminders go out by themselves")
    story.people["anyone"] = DemoUser(story.caller, "anyone", "")
    _previewed(story)
    _texted_client(story)
    for hour, who in enumerate(("mailed", "texted"), start=AT_HOUR):
        _booked(story, who, hour)
    for who, channel in (("mailed", "mail"), ("texted", "text")):
        _sent(story, who, channel)
    _mail_ended(story)
    _text_ended(story)
    _reply_of_nobody(story)
    _seen_by_desk(story)


def _texted_client(story: DemoStory) -> None:
    story.kept["texted"] = story.do(
        "front desk",
        "POST",
        "/clients",
        {**BY_TEXT, "contact_hours": ANY_HOUR, "facility_ids": [story["harbor"]]},
        gives=201,
        means="a client who gave a number for texts",
        check=shows(family_name="Fairweather", contact_by="text", phone=BY_TEXT["phone"]),
    )["id"]


def _booked(story: DemoStory, who: str, hour: int) -> None:
    day = _next_reminded(story)
    story.do(
        "front desk",
        "POST",
        "/sessions",
        {
            "client_id": story[who],
            "practitioner_id": story["Theo"],
            "facility_id": story["harbor"],
            "starts_at": {"local": f"{day}T{hour}:00"},
            "minutes": 45,
        },
        gives=201,
        means="booked for the next evening of which clients are reminded by now",
        key=new_id(),
        check=shows(status="booked", client_id=story[who], local_date=day),
    )


def _next_reminded(story: DemoStory) -> str:
    """Tomorrow; before the hour of the reminders, today, of which they went out yesterday."""
    here = story.now.astimezone(story["harbor zone"])
    ahead = 1 if here.hour >= FROM_HOUR else 0
    return (here.date() + timedelta(days=ahead)).isoformat()


def _previewed(story: DemoStory) -> None:
    story.do(
        "front desk",
        "GET",
        f"/clients/{story['mailed']}/reminder-wordings",
        gives=200,
        means="what the client would read, in their language, with no clinical word",
        check=lambda answer: (
            answer["language"] == "es"
            and any(one["mail"].startswith("Buenos días") for one in answer["templates"])
            and all(0 < one["text_places"] <= LONGEST_TEXT for one in answer["templates"])
        ),
    )


def _sent(story: DemoStory, who: str, channel: str) -> None:
    """Wait for the worker; nothing but its tick sends."""
    path = f"/reminders?client_id={story[who]}&kind=session_tomorrow"
    story.wait_for(lambda: _states(story, path) == ["sent"], f"no worker sent the {channel}")
    story.do(
        "front desk",
        "GET",
        path,
        gives=200,
        means=f"sent by itself, once, by {channel}",
        check=lambda answer: (
            [(one["status"], one["channel"], one["tries"]) for one in answer["results"]]
            == [("sent", channel, 1)]
        ),
    )


def _states(story: DemoStory, path: str) -> list[str]:
    return [one["status"] for one in story.people["front desk"].send("GET", path)["results"]]


def _mail_ended(story: DemoStory) -> None:
    mail = mail_to(story.messages, BY_MAIL["email"])  # The last: that of the session.
    if "Harbor and Mill" not in mail or "Wharf Street" not in mail:
        raise StepFailed(f"the mail is not what the story needs: {mail}")
    story.say(f"  the mail's subject and first lines, a file in {story.messages / 'mail'}:")
    for line in _first_lines(mail):
        story.say(f"  | {line}")
    link = stop_path(mail)
    story.do(
        "anyone",
        "GET",
        link,
        gives=200,
        means="the link in the mail, without signing in: a button, and no name",
        check=lambda answer: "<button" in answer.body and "Ximena" not in answer.body,
    )
    story.do(
        "anyone",
        "POST",
        link,
        gives=200,
        means="pressed: no more mails, of any kind",
        check=lambda answer: "No recibirá más" in answer.body,
    )


def _first_lines(mail: str) -> list[str]:
    subject = next(one for one in mail.splitlines() if one.startswith("Subject:"))
    body = [one for one in mail.partition("\n\n")[2].splitlines() if one]
    return [subject, *body[:2]]


def _text_ended(story: DemoStory) -> None:
    text = text_to(story.messages, BY_TEXT["phone"])
    if not 0 < len(text) <= LONGEST_TEXT or "STOP" not in text:
        raise StepFailed(f"the text is not what the story needs: {text}")
    story.say(f"  the text: {text}")
    put_reply(story.messages, BY_TEXT["phone"], "Stop please.")
    path = f"/clients/{story['texted']}"
    desk = story.people["front desk"]
    story.wait_for(
        lambda: desk.send("GET", path)["contact_by"] == "none", "no worker took the reply in"
    )
    story.do(
        "front desk",
        "GET",
        path,
        gives=200,
        means="the reply `Stop please.` has ended all texts at once",
        check=lambda answer: (
            answer["contact_by"] == "none" and [one["texts"] for one in answer["phones"]] == [False]
        ),
    )


def _reply_of_nobody(story: DemoStory) -> None:
    put_reply(story.messages, NOBODYS, "Is this the ferry office?")
    desk, path = story.people["front desk"], "/unknown-replies?settled=open"
    story.wait_for(
        lambda: bool(desk.send("GET", path)["results"]), "no worker took the unknown reply in"
    )
    (reply,) = story.do(
        "front desk",
        "GET",
        path,
        gives=200,
        means="a reply from a number of no client is kept until somebody sees to it",
        check=lists([{"number": NOBODYS, "words": "Is this the ferry office?"}]),
    )["results"]
    story.do(
        "front desk",
        "POST",
        f"/unknown-replies/{reply['id']}/settlement",
        {"reason": "Asks for the ferry office: no client of ours."},
        gives=200,
        means="it is nobody's, and why",
        check=shows(settled="discarded"),
    )


def _seen_by_desk(story: DemoStory) -> None:
    for who, channel in (("mailed", "mail"), ("texted", "text")):
        story.do(
            "front desk",
            "GET",
            f"/call-list?client_id={story[who]}&reason=client_answered",
            gives=200,
            means=f"the desk sees that no more {channel} is wanted",
            check=_answered(channel),
        )


def _answered(channel: str) -> Any:
    wanted = {"reason": "client_answered", "client_contact_by": "none"}
    return lambda answer: (
        lists([wanted])(answer) and f"no more messages by {channel}" in answer["results"][0]["text"]
    )


def month(story: DemoStory) -> None:
    """The owner's month, and one of its figures counted again by the list behind it."""
    found = story.do(
        "owner",
        "GET",
        "/owner/month",
        gives=200,
        means="the owner's month: licences, law, red flags, notes, incidents, re-checks, hours",
        check=lambda answer: (
            answer["incidents"]["happened"] > 0
            and answer["rechecks"]["due"] > 0
            and answer["limits_unverified"]["count"] > 0
            and any(one["sessions"] > 0 for one in answer["practitioner_hours"])
        ),
    )["incidents"]
    story.do(
        "owner",
        "GET",
        found["link"].removeprefix("/api/v1") + "&page_size=200",
        gives=200,
        means="each figure has its list: the incidents that it counts",
        check=lambda answer: len([one["id"] for one in answer["results"]]) == found["happened"],
    )
