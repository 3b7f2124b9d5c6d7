"""Bar 7: open times of many practitioners, and exports of many visits."""

from __future__ import annotations

from statistics import median

from tests.bench.databases import database
from tests.bench.measuring import Runs
from tests.bench.plan import Plan
from tests.bench.report import Bar
from tests.bench.serving import gunicorn, told_request, volley


def open_times(plan: Plan) -> list[Bar]:
    """The pure function, and the first page over HTTP over what one may ask for."""
    count, runs = plan.size.practitioners, Runs()
    with database("open_times") as own:
        told = own.build("open_times", practitioners=count, rounds=plan.rounds)
        sent = told_request(told["asked"], told["tokens"])
        with gunicorn(plan.folder, url=own.url) as served:
            for number in range(plan.rounds + 1):
                _, times = volley(served.port, lambda _: sent, max(5, plan.size.each // 5), 1)
                if number:
                    runs.rounds.append(times)
    pure = {what: median(one[what] for one in told["pure"]) for what in told["pure"][0]}
    over_http = f"7 open times, {count} practitioners, {told['days']} days, first page over HTTP"
    return [
        *(
            Bar(f"7 open times, {count} practitioners, {what}, pure", "", seconds, "s", 0.1)
            for what, seconds in pure.items()
        ),
        Bar(over_http, "", runs.quantile(0.5), "s", 0.25, raw=runs.as_json()),
    ]


def exports(plan: Plan) -> list[Bar]:
    """Visits per second as CSV; what a visit takes of memory in a short and in a long export."""
    with database("export") as own:
        told = own.build("export", visits=plan.size.visits, rounds=plan.rounds)
    bars = []
    for one in told["pure"]:
        what = f"7 export of {one['visits']:,} visits"
        rates = {
            name: [one["visits"] / each for each in seconds]
            for name, seconds in one["seconds"].items()
        }
        bars += [
            Bar.rate(f"{what} as CSV, pure", rates["CSV"], wanted=20_000),
            Bar.rate(f"{what}: Python's csv module over the finished cells", rates["csv alone"]),
            Bar.rate(f"{what} in all forms, pure", rates["all forms"]),
            Bar(f"{what} in all forms, pure, memory", "", one["bytes"] / 1e6, "MB"),
        ]
    few = plan.size.visits[0]
    asked = [few / seconds for seconds in told["api"]]
    return [*bars, Bar.rate(f"7 export of {few:,} visits through the API", asked, wanted=20_000)]
