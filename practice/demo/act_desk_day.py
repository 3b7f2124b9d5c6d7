"""Act 7: the front desk's day: the day sheet, a paper, a series, the waiting list, a feed."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from practice.demo.callers import PREFIX, DemoResponse
from practice.demo.checks import has, lists, refused, shows
from practice.demo.telling import DemoStory, new_id

CLIENT = "Noor Castellan"
SERIES = 4
"""Sessions of the series, one a week."""


def the_desks_day(story: DemoStory) -> None:
    """What the desk does between two clients."""
    story.act(7, "The front desk's day")
    _day_sheet(story)
    _paper(story)
    _series(story)
    _waiting_list(story)
    _feed(story)


def _day_sheet(story: DemoStory) -> None:
    do = story.do
    sheet = f"/day-sheet?facility_id={story['harbor']}&day={story['starts_at'][:10]}"
    do(
        "front desk",
        "GET",
        sheet,
        gives=200,
        means="the day sheet: time, client, phone, with whom, and what is missing in words",
        check=lambda answer: (
            _on_sheet(story, answer)["at"] == story["starts_at"][11:16]
            and "confirmed" not in _on_sheet(story, answer)
            and all(code in answer["texts"] for code in _on_sheet(story, answer)["missing"])
        ),
    )
    do(
        "front desk",
        "POST",
        f"/sessions/{story['session']}/confirmation",
        {"by": "client", "how": "phone"},
        gives=200,
        means="the client says that they come",
        check=lambda answer: (
            answer["confirmed_at"] is not None
            and has(answer.body, {"confirmed_by": "client", "confirmed_how": "phone"})
        ),
    )
    do(
        "front desk",
        "GET",
        sheet,
        gives=200,
        means="and the sheet says so",
        check=lambda answer: _on_sheet(story, answer)["confirmed"] is True,
    )
    do(
        "front desk",
        "GET",
        sheet.replace("day-sheet", "day-sheet/printout"),
        gives=200,
        means="the same to print against an outage",
        check=lambda answer: CLIENT in answer.body and "+14155550188" in answer.body,
    )


def _on_sheet(story: DemoStory, answer: DemoResponse) -> dict[str, Any]:
    """The story's session on a day sheet, with the client, the phone and the practitioner."""
    row: dict[str, Any]
    (row,) = (one for one in answer["sessions"] if one["id"] == story["session"])
    said = (row["client"], row["phone"], answer["people"][row["with"]])
    if said != (CLIENT, "+14155550188", "Ines Aldana"):
        raise LookupError(said)
    return row


def _paper(story: DemoStory) -> None:
    do, papers = story.do, f"/clients/{story['client']}/papers"
    physician = {"name": "Dr. Lorne Askew", "role": "physician", "fax": "+14155550196"}
    asked = {
        "kind": "plan_signature",
        "asked_of": physician,
        "asked_on": story.day(-10),
        "needed_by": story.day(-2),
    }
    paper = do(
        "front desk",
        "POST",
        papers,
        asked,
        gives=201,
        means="a signed plan of care is asked of the physician",
        check=lambda answer: (
            has(answer.body, {"status": "waiting", "kind": "plan_signature", "overdue": True})
            and has(answer["asked_of"], physician)
        ),
    )
    sent = do(
        "front desk",
        "POST",
        f"{papers}/{paper['id']}/sending",
        {"channel": "fax"},
        gives=200,
        means="sent by fax",
        check=lambda answer: [one["channel"] for one in answer["steps"]] == ["fax"],
    )
    do(
        "front desk",
        "GET",
        f"/papers?client_id={story['client']}&overdue=true",
        gives=200,
        means="it stands among what is waited for and overdue",
        check=lists([{"id": paper["id"], "client_name": CLIENT, "sent_on": sent["sent_on"]}]),
    )
    do(
        "front desk",
        "POST",
        f"{papers}/{paper['id']}/answer",
        {"outcome": "given", "expires_on": story.day(80)},
        gives=200,
        means="the answer comes: signed",
        check=shows(status="answered", outcome="given", overdue=False),
    )


def _series(story: DemoStory) -> None:
    do = story.do
    offer = do(
        "front desk",
        "GET",
        f"/open-times?client_id={story['second']}&facility_id={story['harbor']}"
        f"&practitioner_id={story['Mira']}&from={story.day(50)}&to={story.day(58)}&minutes=60"
        "&earliest=17:00&order=time",
        gives=200,
        means="late times with Mira for the other client",
        check=lambda answer: all(
            one["starts_at"][11:16] == "17:00" and one["practitioner_id"] == story["Mira"]
            for one in [answer["results"][0]]
        ),
    )["results"][0]
    body = {
        "client_id": story["second"],
        "practitioner_id": offer["practitioner_id"],
        "facility_id": offer["facility_id"],
        "starts_at": offer["starts_at"],
        "minutes": 60,
        "recurrence": f"FREQ=WEEKLY;COUNT={SERIES}",
    }
    series = do(
        "front desk",
        "POST",
        "/session-series",
        body,
        gives=201,
        means="once a week for four weeks, in one request",
        key=new_id(),
        check=_each_booked_or_said_why,
    )
    story.kept["series"] = series["id"]
    moved = {"from_day": offer["starts_at"][:10], "shift_minutes": -60}
    do(
        "front desk",
        "POST",
        f"/session-series/{series['id']}/move",
        moved | {"reason": "the client has to be home by six"},
        gives=200,
        means="the whole series an hour earlier",
        key=new_id(),
        check=lambda answer: (
            answer["moved"] == series["booked"]
            and answer["refused"] == 0
            and {one["starts_at"][11:16] for one in answer["occurrences"]} == {"16:00"}
        ),
    )
    second = date.fromisoformat(offer["starts_at"][:10]) + timedelta(weeks=1)
    story.kept["freed"] = next(
        one["session"]["id"]
        for one in series["occurrences"]
        if one["session"] is not None and one["session"]["local_date"] >= second.isoformat()
    )


def _each_booked_or_said_why(answer: DemoResponse) -> bool:
    """One answer for each week: a session, or the refusal that booking it alone would give."""
    found = [one["result"] for one in answer["occurrences"]]
    return (
        len(found) == SERIES
        and answer["booked"] == found.count("booked") > 1
        and answer["refused"] == found.count("refused") == SERIES - answer["booked"]
        and all(
            one["session"]["series_exception"] == "" if one["session"] else one["refusal"]["code"]
            for one in answer["occurrences"]
        )
    )


def _waiting_list(story: DemoStory) -> None:
    do = story.do
    waiting = do(
        "front desk",
        "POST",
        f"/clients/{story['client']}/waiting",
        {"minutes": 60, "earliest": "16:00", "note": "After work."},
        gives=201,
        means="the client waits for a late time",
        check=shows(status="waiting", client_name=CLIENT, earliest="16:00:00", offers=[]),
    )
    do(
        "front desk",
        "POST",
        f"/sessions/{story['freed']}/cancellation",
        {"by": "client", "reason": "travels that week"},
        gives=200,
        means="a session of the series is called off; who waits for the time is named",
        check=lambda answer: (
            has(answer.body, {"status": "cancelled", "cancelled_by": "client"})
            and waiting["id"] in {one["waiting_id"] for one in answer["waiting_fits"]["first"]}
        ),
    )
    path = f"/waiting-list/{waiting['id']}"
    do(
        "front desk",
        "POST",
        f"{path}/offers",
        {"free_session_id": story["freed"]},
        gives=201,
        means="offered to the client",
        check=lambda answer: [one["answer"] for one in answer["offers"]] == ["open"],
    )
    do(
        "front desk",
        "POST",
        f"{path}/acceptance",
        gives=201,
        means="accepted, and booked as any session is",
        key=new_id(),
        check=shows(status="booked", client_id=story["client"], practitioner_id=story["Mira"]),
    )


def _feed(story: DemoStory) -> None:
    do = story.do
    feed = do(
        "practitioner",
        "POST",
        "/calendar-feeds",
        {"practitioner_id": story["Ines"], "label": "My phone"},
        gives=201,
        means="a secret link for the calendar of Ines's phone",
        check=lambda answer: answer["path"].endswith(".ics") and not answer["is_revoked"],
    )
    path = feed["path"].removeprefix(PREFIX)
    do(
        "practitioner",
        "GET",
        path,
        gives=200,
        means="what a calendar program reads: times and initials, no name",
        check=lambda answer: (
            answer.body.startswith("BEGIN:VCALENDAR")
            and f"UID:{story['session']}" in answer.body
            and "Castellan" not in answer.body
        ),
    )
    story.people["practitioner"].send("DELETE", f"/calendar-feeds/{feed['id']}")
    do(
        "practitioner",
        "GET",
        path,
        gives=404,
        means="revoked, the link shows nothing any more",
        check=refused("not_found"),
    )
