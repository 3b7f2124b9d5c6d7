"""Act 3: a time is found and booked, and what is refused says why."""

from __future__ import annotations

from typing import Any

from practice.demo.telling import DemoStory, new_id


def a_time_is_booked(story: DemoStory) -> None:
    """Open times, a booking, and every refusal with its reason."""
    story.act(3, "The front desk looks for a time and books")
    do = story.do
    others = do("front desk", "GET", "/clients", gives=200, means="the desk's own clients")
    story.kept["other"] = next(
        one["id"] for one in others["results"] if one["id"] != story["client"]
    )
    open_times = do(
        "front desk",
        "GET",
        f"/open-times?client_id={story['client']}&facility_id={story['harbor']}"
        f"&practitioner_id={story['Ines']}&from={story.day(7)}&to={story.day(16)}&minutes=60",
        gives=200,
        means="times with Ines at Harbor Lane that can be booked as offered",
        check=lambda answer: len(answer["results"]) > 0,
    )
    offer = open_times["results"][0]
    story.kept["starts_at"] = offer["starts_at"]
    body = _booking(story, "client", "Ines", offer["room_id"])
    key = new_id()
    first = do(
        "front desk",
        "POST",
        "/sessions",
        body,
        gives=201,
        means="booked; planned self-directed, since nothing is hands-on before the review",
        key=key,
    )
    story.kept["session"] = first["id"]
    do(
        "front desk",
        "POST",
        "/sessions",
        body,
        gives=201,
        means="sent twice by a bad line: the same answer, no second session",
        key=key,
        check=lambda answer: answer["id"] == first["id"],
    )
    _taken(story, _booking(story, "other", "Ines", None), "practitioner")
    _taken(story, _booking(story, "other", "Mira", offer["room_id"]), "room")
    _taken(story, _booking(story, "client", "Mira", story["garden"]), "client")
    _the_trainer(story)


def _the_trainer(story: DemoStory) -> None:
    do = story.do
    starts = do(
        "front desk",
        "GET",
        f"/open-times?client_id={story['other']}&facility_id={story['harbor']}"
        f"&practitioner_id={story['Theo']}&from={story.day(17)}&to={story.day(27)}&minutes=45",
        gives=200,
        means="and times with Theo, a trainer",
        check=lambda answer: len(answer["results"]) > 0,
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
        check=lambda answer: answer["code"] == "against_preference" and answer["reasons"] != [],
    )
    do(
        "front desk",
        "POST",
        f"/clients/{story['client']}/provider-preference/exceptions",
        {
            "practitioner_id": story["Theo"],
            "until": story.day(60),
            "agreed_how": "by phone, the client asked for the early hour",
        },
        gives=201,
        means="the exception that the client agreed to",
    )
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
            and any(one["code"].startswith("law") for one in answer["reasons"])
        ),
    )


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
        check=lambda answer: answer["code"] == "time_taken" and answer["taken"] == [what],
    )
