"""Bar 6: the tick, with a great deal of work that is to come later."""

from __future__ import annotations

from tests.bench.databases import database
from tests.bench.measuring import Runs
from tests.bench.plan import Plan
from tests.bench.report import Bar


def due_work(plan: Plan) -> list[Bar]:
    """Claims of a batch beside those without the rows to come; rows done beside plain SQL."""
    size = plan.size
    options = {"future": size.future_jobs, "due": size.due_jobs, "mails": size.mails}
    with database("due") as own:
        found = own.build("due_work", rounds=plan.rounds, **options)
    runs = {"ours": Runs(found["with"]), "without them": Runs(found["without"])}
    what = f"6 claim of 50 of {size.due_jobs:,} due, {size.future_jobs:,} to come (at least)"
    return [
        Bar.of(what, "without them", runs, wanted=0.9),
        Bar.rate(
            "6 claimed and finished, a handler that does nothing", [found["handled"]], wanted=2_000
        ),
        Bar.rate("6 claimed and finished, a delivery that does nothing", [found["delivered"]]),
        Bar.rate("6 claimed and finished by plain SQL, each a transaction", [found["plain"]]),
        Bar.rate("6 mail rendered and handed over to files", [found["mailed"]], wanted=500),
    ]
