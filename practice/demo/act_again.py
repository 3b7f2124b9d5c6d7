"""Where the story was told before: what is there is read, and nothing is written twice."""

from __future__ import annotations

from practice.demo.act_registering import DETAILS
from practice.demo.callers import DemoResponse
from practice.demo.telling import DemoStory

KNOWN_BY = {"name": "Noor Castellan", "birth_date": DETAILS["birth_date"]}


def told_before(story: DemoStory) -> bool:
    """Whether the story's client is on record already; then it says so."""
    found = story.people["front desk"].send("POST", "/clients/search", KNOWN_BY)["results"]
    if not found:
        return False
    story.kept["client"] = found[0]["id"]
    story.say(
        f"\nThis practice is there since {found[0]['registered_at'][:10]}, and the story was told"
        " then. It is read now, and nothing is written twice. To have it told anew, end the demo"
        " and remove the folder var."
    )
    return True


def what_was_told(story: DemoStory) -> None:
    """The client is on record once, and the story came to its end."""
    story.act(2, "What the story left")
    story.do(
        "front desk",
        "POST",
        "/clients/search",
        KNOWN_BY,
        gives=200,
        means="the story's client is on record, once",
        check=lambda answer: [one["id"] for one in answer["results"]] == [story["client"]],
    )
    story.do(
        "owner",
        "GET",
        f"/clients/{story['client']}/disclosures",
        gives=200,
        means="the story came to its end: the client was given what is on record",
        check=lambda answer: "the client" in {one["recipient"] for one in answer["results"]},
    )


def the_desk_reads(story: DemoStory) -> None:
    """The desk's pages as they stand today."""
    story.act(3, "The front desk's day, as it stands")
    for place in ("harbor", "mill"):
        story.do(
            "front desk",
            "GET",
            f"/day-sheet?facility_id={story[place]}",
            gives=200,
            means=f"today's day sheet, {PLACES[place]}",
            check=_sheet,
        )
    story.do(
        "front desk",
        "GET",
        "/call-list",
        gives=200,
        means="whom to call, and why in plain words",
        check=lambda answer: all(one["text"] and one["client_name"] for one in answer["results"]),
    )
    story.do(
        "front desk",
        "GET",
        f"/clients/{story['client']}/at-a-glance",
        gives=200,
        means="the story's client at a glance",
        check=lambda answer: answer["contact"]["name"] == KNOWN_BY["name"],
    )


def the_owner_reads(story: DemoStory) -> None:
    """The month and the reminders as they stand."""
    story.act(4, "The owner's month, as it stands")
    for path, means, check in (
        ("/owner/month", "the month: hours, re-checks, incidents, unsigned notes", _month),
        ("/reminders?status=sent", "what went out by itself", _went_out),
    ):
        story.do("owner", "GET", path, gives=200, means=means, check=check)


def _month(answer: DemoResponse) -> bool:
    return bool(answer["month"]) and answer["incidents"]["link"].startswith("/api/v1/incidents")


def _went_out(answer: DemoResponse) -> bool:
    rows = answer["results"]
    return len(rows) > 0 and all(one["status"] == "sent" and one["client_name"] for one in rows)


PLACES = {"harbor": "Harbor Lane", "mill": "Mill Court"}


def _sheet(answer: DemoResponse) -> bool:
    return bool(answer["headline"]) and all(
        one["with"] in answer["people"] for one in answer["sessions"]
    )
