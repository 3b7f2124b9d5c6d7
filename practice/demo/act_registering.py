"""Acts 1 and 2: the practice as its owner set it up, a client comes."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from practice.demo import people
from practice.demo.callers import DemoResponse
from practice.demo.checks import Check, codes, has, lists, refused, shows
from practice.demo.telling import DemoStory, StepFailed, new_id

HAND_TECHNIQUES = ["active_isolated", "contract_relax", "passive"]
ARM_SIDE = ("head_and_neck", "shoulder", "arm", "chest", "upper_back")


def the_practice(story: DemoStory) -> None:
    """The owner's practice: two jurisdictions, four credentials, a payer, roles."""
    story.act(1, "The owner's practice")
    do = story.do
    facilities = do(
        "owner",
        "GET",
        "/facilities",
        gives=200,
        means="two facilities in two states, Harbor Lane in US-CA and Mill Court in US-PA",
        check=lists(list(people.FACILITIES.values())),
    )
    story.kept["harbor"] = _named(facilities, "Harbor Lane")
    story.kept["harbor zone"] = ZoneInfo(people.FACILITIES["harbor"]["zone"])
    story.kept["mill"] = _named(facilities, "Mill Court")
    rooms = do(
        "owner",
        "GET",
        "/rooms",
        gives=200,
        means="and their rooms",
        check=lists([{"name": name, "facility_id": story[place]} for place, name in people.ROOMS]),
    )
    story.kept["bay"], story.kept["garden"] = (
        _named(rooms, "Bay room"),
        _named(rooms, "Garden room"),
    )
    found = do(
        "owner",
        "GET",
        "/practitioners",
        gives=200,
        means="four credentials",
        check=lists(
            [
                {"name": one["name"], "credential": one["credential"]}
                for one in people.PRACTITIONERS.values()
            ]
        ),
    )
    for name in ("Ines Aldana", "Jonas Reyk", "Mira Osei", "Theo Brandt"):
        story.kept[name.split()[0]] = _named(found, name)
    _law_and_accounts(story)


def _law_and_accounts(story: DemoStory) -> None:
    do = story.do
    do(
        "owner",
        "GET",
        "/jurisdiction-limits?jurisdiction=US-CA&credential=personal_trainer",
        gives=200,
        means="in US-CA a trainer may not stretch clients by hand; each row with its source",
        check=lambda answer: (
            lists([{"activity": "assisted_stretching", "allowance": "not_allowed"}])(answer)
            and all(one["source"] for one in answer["results"])
        ),
    )
    do(
        "owner",
        "GET",
        "/staff",
        gives=200,
        means="accounts with roles",
        check=lists([{"username": one[0], "role": one[2]} for one in people.STAFF]),
    )
    payers = do(
        "billing",
        "GET",
        "/payers",
        gives=200,
        means="a payer and its rule for units",
        check=lists([{"name": people.PAYER["name"], "unit_rule": people.PAYER["unit_rule"]}]),
    )
    story.kept["payer"] = _named(payers, "Lakeshore Health Plan")
    do(
        "front desk",
        "GET",
        "/staff",
        gives=403,
        means="the accounts are the owner's alone",
        check=refused("forbidden"),
    )


def a_client_comes(story: DemoStory) -> None:
    """Registered; history as reported; touch consent; preference; authorization."""
    story.act(2, "The front desk registers a client")
    do = story.do
    story.kept["visit_at"] = _free_hour(story)
    story.kept["client"] = do(
        "front desk",
        "POST",
        "/clients",
        personal_details(story),
        gives=201,
        means="registered",
        check=_details_kept(story),
    )["id"]
    path = f"/clients/{story['client']}"
    do(
        "front desk",
        "POST",
        f"{path}/health-history",
        {**history(story), "informant": "the client", "occurred_at": story.before_visit(90)},
        gives=201,
        means="the history as the client reported it",
        check=lambda answer: answer["status"] == "reported" and answer["report_id"],
    )
    obtained = {key: value for key, value in consent(story).items() if key != "occurred_at"}
    do(
        "front desk",
        "POST",
        f"{path}/touch-consent",
        consent(story),
        gives=201,
        means="touch consent: regions, techniques, until when, how and by whom it was obtained",
        check=shows(**obtained, status="granted", in_force=True),
    )
    do(
        "front desk",
        "PUT",
        f"{path}/provider-preference",
        {"scope": "all_work", "gender": "woman"},
        gives=200,
        means="the client prefers a woman, for all work",
        check=shows(scope="all_work", gender="woman", exceptions=[]),
    )
    _authorized(story, path)


def _authorized(story: DemoStory, path: str) -> None:
    do = story.do
    story.kept["authorization"] = do(
        "front desk",
        "POST",
        f"{path}/authorizations",
        authorization(story),
        gives=201,
        means="the payer's authorization: 12 visits, 48 units",
        check=shows(
            visits_authorized=12, visits_left=12, units_authorized=48, units_left=48, warnings=[]
        ),
    )["id"]
    do(
        "front desk",
        "GET",
        f"{path}/permissions?practitioner_id={story['Ines']}&facility_id={story['harbor']}",
        gives=200,
        means="not hands-on before the review; health reasons stay with practitioners",
        check=_kept_from_the_desk,
    )


def _kept_from_the_desk(answer: DemoResponse) -> bool:
    """Nothing by hand, since nobody has reviewed; of the body only that there is a reason."""
    said = codes(answer["reason_texts"].values())
    return (
        answer["mode"] == answer["planned"] == "self_directed"
        and {"history.not_reviewed", "health"} <= said
        and answer["programme"] == answer["other_stretches"] == answer["load"] == []
        and not any(word in str(answer.body) for word in ("mastectomy", "dissection", "radiation"))
    )


def _details_kept(story: DemoStory) -> Check:
    """Every detail as it was given; facilities in any order."""
    given = personal_details(story)
    places = set(given.pop("facility_ids"))
    return lambda answer: has(answer.body, given) and set(answer["facility_ids"]) == places


DETAILS: dict[str, Any] = {
    "given_name": "Noor",
    "family_name": "Castellan",
    "birth_date": "1971-04-19",
    "phone": "+14155550188",
    "email": "noor.castellan@example.org",
    "zone": "America/Los_Angeles",
    "language": "en",
    "contact_by": "mail",
}


def personal_details(story: DemoStory) -> dict[str, Any]:
    """Who the client is, and how to reach them."""
    return {**DETAILS, "facility_ids": [story["harbor"], story["mill"]]}


def _free_hour(story: DemoStory) -> datetime:
    """The start of the last hour gone by in which Ines was with nobody."""
    taken = story.do(
        "front desk",
        "GET",
        f"/sessions?practitioner_id={story['Ines']}&from={story.day(-2)}&to={story.day(1)}"
        "&page_size=200",
        gives=200,
        means="when Ines was with clients these days",
        check=lambda answer: all(
            one["practitioner_id"] == story["Ines"]
            and story.day(-2) <= one["local_date"] <= story.day(1)
            for one in answer["results"]
        ),
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
    """A mastectomy with axillary node dissection on the left 20 weeks ago, then radiation; a
    port on the other side."""
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
        "conditions": [
            {
                "kind": "implanted_port",
                "sites": [{"region": "chest", "side": "right"}],
                "since": story.day(-150),
            }
        ],
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


def _named(answer: DemoResponse, name: str) -> str:
    for one in answer["results"]:
        if one["name"] == name:
            return str(one["id"])
    raise StepFailed(f"{name} is not there: {answer.body}")
