"""Act 5: billing sees the visit used and exports the authorized visit summary."""

from __future__ import annotations

import csv
import io

from practice.demo.callers import DemoResponse
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
        check=lambda answer: answer["visits_left"] == 11 and answer["units_left"] == 45,
    )
    do(
        "billing",
        "GET",
        f"{path}/visits",
        gives=200,
        means="the visit with its minutes, codes and units",
        check=lambda answer: len(answer["results"]) == 1,
    )
    _exported(story, path)
    do(
        "billing",
        "GET",
        f"/sessions/{story['visit']}/note",
        gives=403,
        means="the narrative is not billing's to read",
    )


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
    )
    reference = do(
        "billing",
        "POST",
        f"{path}/visit-summary",
        export,
        gives=201,
        means="the authorized visit summary is made; the disclosure is on record",
        key=new_id(),
    )
    do(
        "billing",
        "GET",
        f"/visit-summaries/{reference['id']}",
        gives=200,
        means="as CSV: one row for each visit and service code; the same bytes for ever",
        check=_is_csv,
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
        means="to whom, when, what and why",
        check=lambda answer: len(answer["results"]) == 1,
    )


def _is_csv(answer: DemoResponse) -> bool:
    rows = list(csv.reader(io.StringIO(answer.body)))
    return len(rows) >= 2 and any("Ines Aldana" in cell for row in rows for cell in row)
