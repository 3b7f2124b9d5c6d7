"""Acts 1 to 3: the practice as its owner set it up, a client comes, a time is booked."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from practice.demo.callers import DemoResponse
from practice.demo.telling import DemoStory, StepFailed, new_id

HAND_TECHNIQUES = ["active_isolated", "contract_relax", "passive"]
ARM_SIDE = ("head_and_neck", "shoulder", "arm", "chest", "upper_back")


def the_practice(story: DemoStory) -> None:
    """The owner's practice: two jurisdictions, four credentials, a payer, roles."""
    story.act(1, "The owner's practice")
    do = story.do
    facilities = do("owner", "GET", "/facilities", gives=200, means="two facilities in two states")
    story.kept["harbor"] = _named(facilities, "Harbor Lane")
    story.kept["mill"] = _named(facilities, "Mill Court")
    rooms = do("owner", "GET", "/rooms", gives=200, means="and their rooms")
    story.kept["bay"], story.kept["garden"] = (
        _named(rooms, "Bay room"),
        _named(rooms, "Garden room"),
    )
    found = do("owner", "GET", "/practitioners", gives=200, means="four credentials")
    for name in ("Ines Aldana", "Jonas Reyk", "Mira Osei", "Theo Brandt"):
        story.kept[name.split()[0]] = _named(found, name)
    do(
        "owner",
        "GET",
        "/jurisdiction-limits?jurisdiction=US-CA&credential=personal_trainer",
        gives=200,
        means="in US-CA a trainer may not stretch clients by hand; each row with its source",
        check=lambda answer: any(
            one["activity"] == "assisted_stretching" and one["allowance"] == "not_allowed"
            for one in answer["results"]
        ),
    )
    do("owner", "GET", "/staff", gives=200, means="accounts with roles")
    payers = do("billing", "GET", "/payers", gives=200, means="a payer and its rule for units")
    story.kept["payer"] = _named(payers, "Lakeshore Health Plan")
    do("front desk", "GET", "/staff", gives=403, means="which is the owner's alone")


def a_client_comes(story: DemoStory) -> None:
    """Registered; history as reported; touch consent; preference; authorization."""
    story.act(2, "The front desk registers a client")
    do = story.do
    story.kept["visit_at"] = _free_hour(story)
    client = {
        "given_name": "Noor",
        "family_name": "Castellan",
        "birth_date": "1971-04-19",
        "phone": "+14155550188",
        "email": "noor.castellan@example.org",
        "zone": "America/Los_Angeles",
        "language": "en",
        "contact_by": "mail",
        "facility_ids": [story["harbor"], story["mill"]],
    }
    do(
        "front desk",
        "POST",
        "/clients",
        client,
        gives=201,
        means="registered",
        keep={"client": "id"},
    )
    path = f"/clients/{story['client']}"
    do(
        "front desk",
        "POST",
        f"{path}/health-history",
        {**history(story), "informant": "herself", "occurred_at": story.before_visit(90)},
        gives=201,
        means="her history as reported: it narrows at once and frees nothing",
    )
    do(
        "front desk",
        "POST",
        f"{path}/touch-consent",
        consent(story),
        gives=201,
        means="touch consent: regions, techniques, until when, how and by whom it was obtained",
    )
    do(
        "front desk",
        "PUT",
        f"{path}/provider-preference",
        {"scope": "all_work", "gender": "woman"},
        gives=200,
        means="she prefers a woman, for all work",
    )
    do(
        "front desk",
        "POST",
        f"{path}/authorizations",
        authorization(story),
        gives=201,
        means="her payer's authorization: 12 visits, 48 units",
        keep={"authorization": "id"},
    )
    do(
        "front desk",
        "GET",
        f"{path}/permissions?practitioner_id={story['Ines']}&facility_id={story['harbor']}",
        gives=200,
        means="not hands-on: her history is not reviewed; health reasons stay with practitioners",
        check=lambda answer: answer["mode"] != "hands_on" and answer["stretch_permissions"] == [],
    )


def _free_hour(story: DemoStory) -> datetime:
    """The start of the last hour gone by in which Ines was with nobody."""
    taken = story.do(
        "front desk",
        "GET",
        f"/sessions?practitioner_id={story['Ines']}&from={story.day(-2)}&to={story.day(1)}"
        "&page_size=200",
        gives=200,
        means="when Ines was with clients these days",
    )["results"]
    start, hour = story.now - timedelta(minutes=65), timedelta(hours=1)
    spans = [
        (datetime.fromisoformat(one["starts_at"]), datetime.fromisoformat(one["ends_at"]))
        for one in taken
        if one["status"] != "cancelled"
    ]
    while any(start < ends and begins < start + hour for begins, ends in spans):
        start -= timedelta(minutes=15)
    return start


def history(story: DemoStory) -> dict[str, Any]:
    """A mastectomy with axillary node dissection on the left 20 weeks ago, then radiation."""
    return {
        "operations": [
            {"kind": "mastectomy", "side": "left", "on": story.day(-140), **HEALED},
            {"kind": "axillary_dissection", "side": "left", "on": story.day(-140), **HEALED},
        ],
        "radiations": [
            {
                "sites": [{"region": "chest", "side": "left"}],
                "from_date": story.day(-90),
                "until_date": story.day(-55),
                "skin_broken": False,
            }
        ],
        "conditions": [],
        "usual_pain": 2,
    }


HEALED = {"incision_healed": True, "drains_out": True, "expander_in": False}


def consent(story: DemoStory) -> dict[str, Any]:
    """Consent for the upper body on both sides, obtained on paper."""
    return {
        "regions": [{"region": region, "side": "both"} for region in ARM_SIDE],
        "techniques": HAND_TECHNIQUES,
        "until": story.day(180),
        "form": "paper",
        "obtained_by": "Pilar Quist",
        "language": "en",
        "occurred_at": story.before_visit(80),
    }


def authorization(story: DemoStory) -> dict[str, Any]:
    """Twelve visits and 48 units over half a year, numbered anew at each telling."""
    return {
        "payer_id": story["payer"],
        "number": f"LHP-{new_id()[:8].upper()}",
        "member_id": "LHP-220-7781",
        "starts_on": story.day(-120),
        "ends_on": story.day(120),
        "visits": 12,
        "units": 48,
        "lines": [{"code": "STRETCH15"}, {"code": "EXERCISE15"}],
    }


def a_time_is_booked(story: DemoStory) -> None:
    """Open times, a booking, and every refusal with its reason."""
    story.act(3, "The front desk looks for a time and books")
    do = story.do
    others = do("front desk", "GET", "/clients", gives=200, means="the clients of her facilities")
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
        keep={"session": "id"},
    )
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
        means="refused: she prefers a woman, for all work",
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
            "agreed_how": "by phone, she asked for the early hour herself",
        },
        gives=201,
        means="the exception that she herself agreed to",
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


def _named(answer: DemoResponse, name: str) -> str:
    for one in answer["results"]:
        if one["name"] == name:
            return str(one["id"])
    raise StepFailed(f"{name} is not there: {answer.body}")
