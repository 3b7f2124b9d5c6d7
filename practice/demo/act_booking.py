"""Act 3: a time is found and booked, and what is refused says why."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from practice.demo.callers import DemoResponse
from practice.demo.checks import Check, codes, refused
from practice.demo.telling import DemoStory, new_id


def a_time_is_booked(story: DemoStory) -> None:
    """Open times, a booking, and every refusal with its reason."""
    story.act(3, "The front desk looks for a time and books")
    do = story.do
    places = {story["harbor"], story["mill"]}
    others = do(
        "front desk",
        "GET",
        "/clients?page_size=200",
        gives=200,
        means="the clients of the desk's own facilities",
        check=lambda answer: (
            story["client"] in {one["id"] for one in answer["results"]}
            and all(places & set(one["facility_ids"]) for one in answer["results"])
        ),
    )
    story.kept["other"] = next(
        one["id"] for one in others["results"] if one["name"] == "Amara Lindholm"
    )
    open_times = do(
        "front desk",
        "GET",
        f"/open-times?client_id={story['client']}&facility_id={story['harbor']}"
        f"&practitioner_id={story['Ines']}&from={story.day(7)}&to={story.day(16)}&minutes=60"
        "&order=time",
        gives=200,
        means="times of an hour with Ines at Harbor Lane",
        check=_offers(story, "Ines", 60),
    )
    offer = open_times["results"][0]
    story.kept["starts_at"] = offer["starts_at"]
    body = _booking(story, "client", "Ines", offer["room_id"])
    _sent_twice(story, body, new_id())
    _taken(story, _booking(story, "other", "Ines", None), "practitioner")
    _taken(story, _booking(story, "other", "Mira", offer["room_id"]), "room")
    _taken(story, _booking(story, "client", "Mira", story["garden"]), "client")
    _the_trainer(story)


def _sent_twice(story: DemoStory, body: dict[str, Any], key: str) -> None:
    do = story.do
    first = do(
        "front desk",
        "POST",
        "/sessions",
        body,
        gives=201,
        means="booked as offered; planned self-directed: nothing is hands-on before the review",
        key=key,
        check=lambda answer: (
            answer["status"] == "booked"
            and answer["starts_at"] == body["starts_at"]
            and answer["planned_mode"] == "self_directed"
            and "history.not_reviewed" in codes(answer["reasons"])
        ),
    )
    story.kept["session"] = first["id"]
    do(
        "front desk",
        "POST",
        "/sessions",
        body,
        gives=201,
        means="sent twice by a bad line: the same answer",
        key=key,
        check=lambda answer: answer.body == first.body,
    )
    do(
        "front desk",
        "GET",
        f"/sessions?client_id={story['client']}",
        gives=200,
        means="and no second session",
        check=lambda answer: [one["id"] for one in answer["results"]] == [first["id"]],
    )


def _the_trainer(story: DemoStory) -> None:
    do = story.do
    starts = do(
        "front desk",
        "GET",
        f"/open-times?client_id={story['other']}&facility_id={story['harbor']}"
        f"&practitioner_id={story['Theo']}&from={story.day(17)}&to={story.day(27)}&minutes=45"
        "&order=time",
        gives=200,
        means="and times with Theo, a trainer",
        check=lambda answer: (
            _offers(story, "Theo", 45)(answer)
            and all(one["credential"] == "personal_trainer" for one in answer["results"])
        ),
    )["results"]
    wanted = _booking(story, "client", "Theo", None) | {"minutes": 45}
    wanted["starts_at"] = starts[0]["starts_at"]
    do(
        "front desk",
        "POST",
        "/sessions",
        wanted,
        gives=409,
        means="refused: the client prefers a woman, for all work",
        key=new_id(),
        check=lambda answer: (
            refused("against_preference")(answer)
            and codes(answer["reasons"]) == {"preference.all_work"}
        ),
    )
    _exception_agreed(story)
    do(
        "front desk",
        "POST",
        "/sessions",
        wanted,
        gives=201,
        means="booked, self-directed: the law gives a trainer no hands-on stretching there",
        key=new_id(),
        check=lambda answer: (
            answer["planned_mode"] == "self_directed"
            and "law.not_allowed" in codes(answer["reasons"])
        ),
    )


def _exception_agreed(story: DemoStory) -> None:
    sent = {
        "practitioner_id": story["Theo"],
        "until": story.day(60),
        "agreed_how": "by phone, the client asked for the early hour",
    }
    story.do(
        "front desk",
        "POST",
        f"/clients/{story['client']}/provider-preference/exceptions",
        sent,
        gives=201,
        means="the exception that the client agreed to",
        check=lambda answer: (
            [{name: one[name] for name in sent} for one in answer["exceptions"]] == [sent]
        ),
    )


def _offers(story: DemoStory, who: str, minutes: int) -> Check:
    """Times of that length with that practitioner at Harbor Lane, and at least one."""

    def check(answer: DemoResponse) -> bool:
        return len(answer["results"]) > 0 and all(
            one["practitioner_id"] == story[who]
            and one["facility_id"] == story["harbor"]
            and datetime.fromisoformat(one["ends_at"]) - datetime.fromisoformat(one["starts_at"])
            == timedelta(minutes=minutes)
            for one in answer["results"]
        )

    return check


def _booking(story: DemoStory, who: str, practitioner: str, room: Any) -> dict[str, Any]:
    return {
        "client_id": story[who],
        "practitioner_id": story[practitioner],
        "facility_id": story["harbor"],
        "room_id": room,
        "starts_at": story.kept.get("starts_at", ""),
        "minutes": 60,
    }


def _taken(story: DemoStory, body: dict[str, Any], what: str) -> None:
    story.do(
        "front desk",
        "POST",
        "/sessions",
        body,
        gives=409,
        means=f"refused: the {what} is taken then",
        key=new_id(),
        check=lambda answer: (
            refused("time_taken")(answer)
            and answer["taken"] == [what]
            and [one["starts_at"] for one in answer["conflicts"]] == [story["starts_at"]]
        ),
    )
