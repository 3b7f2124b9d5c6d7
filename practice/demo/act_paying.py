"""Act 5: billing sees the visit used and exports the authorized visit summary."""

from __future__ import annotations

import csv
import io

from practice.demo import people
from practice.demo.callers import DemoResponse
from practice.demo.checks import has, refused, shows
from practice.demo.telling import DemoStory, new_id


def the_visit(story: DemoStory) -> None:
    """Used with its units; what is left; the summary as CSV; the disclosure."""
    story.act(5, "Billing's month")
    do, path = story.do, f"/authorizations/{story['authorization']}"
    do(
        "billing",
        "GET",
        path,
        gives=200,
        means="1 of 12 visits used; 38 + 10 minutes are 3 units of 48",
        check=shows(
            visits_authorized=12,
            visits_used=1,
            visits_left=11,
            units_authorized=48,
            units_used=3,
            units_left=45,
            minutes_used=48,
        ),
    )
    do(
        "billing",
        "GET",
        f"{path}/visits",
        gives=200,
        means="the visit with its minutes, codes and units",
        check=lambda answer: (
            len(answer["results"]) == 1
            and has(answer["results"][0], {"timed_minutes": 48, "used_units": UNITS})
            and answer["results"][0]["sessions"][0]["session_id"] == story["visit"]
        ),
    )
    _exported(story, path)
    do(
        "billing",
        "GET",
        f"/sessions/{story['visit']}/note",
        gives=403,
        means="the narrative is not billing's to read",
        check=refused("forbidden"),
    )


UNITS = {"STRETCH15": 2, "EXERCISE15": 1}


def _exported(story: DemoStory, path: str) -> None:
    do = story.do
    export = {"recipient": "Lakeshore Health Plan, claims", "purpose": "review of visits"}
    do(
        "billing",
        "POST",
        f"{path}/visit-summary",
        export,
        gives=400,
        means="an export needs an Idempotency-Key",
        check=refused("idempotency_key_required"),
    )
    reference = do(
        "billing",
        "POST",
        f"{path}/visit-summary",
        export,
        gives=201,
        means="the authorized visit summary is made",
        key=new_id(),
        check=lambda answer: answer["href"].endswith(f"/visit-summaries/{answer['id']}"),
    )
    sent = do(
        "billing",
        "GET",
        f"/visit-summaries/{reference['id']}",
        gives=200,
        means="as CSV: one row for each visit and service code",
        check=_is_csv,
    )
    do(
        "billing",
        "GET",
        f"/visit-summaries/{reference['id']}",
        gives=200,
        means="and again: the same bytes",
        check=lambda answer: answer.body == sent.body,
    )
    do(
        "billing",
        "GET",
        f"{path}/visit-summary",
        gives=200,
        means="what was sent; nothing was corrected since",
        check=lambda answer: [one["corrected_since_sent"] for one in answer["results"]] == [False],
    )
    do(
        "billing",
        "GET",
        f"/clients/{story['client']}/disclosures",
        gives=200,
        means="the disclosure is on record: to whom, when, what and why",
        check=lambda answer: (
            len(answer["results"]) == 1
            and has(answer["results"][0], export | {"what": "authorized_visit_summary"})
            and answer["results"][0]["disclosed_at"] is not None
        ),
    )


def _is_csv(answer: DemoResponse) -> bool:
    rows = list(csv.DictReader(io.StringIO(answer.body)))
    found = {one["service_code"]: (one["minutes"], one["units"]) for one in rows}
    return (
        found.get("STRETCH15") == ("38", "2")
        and found.get("EXERCISE15") == ("10", "1")
        and len(found) == len(rows)
        and all(has(one, {"client": "Noor Castellan", "practitioner": INES}) for one in rows)
    )


INES = people.PRACTITIONERS["ines"]["name"]
