"""Bar 6: the tick, with a great deal of work that is to come later."""

from __future__ import annotations

from tests.bench.databases import database
from tests.bench.jobs import TOGETHER
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
        *(
            Bar.rate(f"6 claimed and finished, {how}", [found[key]], wanted=wanted)
            for key, how, wanted in DONE
        ),
        Bar.rate("6 mail rendered and handed over to files", [found["mailed"]], wanted=500),
        Bar.rate("6 a mail of plain SQL, two commits each", [found["plain_mailed"]], wanted=None),
    ]


DONE = (
    ("handled", "a handler that does nothing", 2_000),
    ("joined", f"the same, {TOGETHER} a transaction", 2_000),
    ("delivered", "a delivery that does nothing", None),
    ("plain", "plain SQL, each a transaction", None),
    ("plain_joined", f"plain SQL, {TOGETHER} a transaction", None),
)
"""By what was found: what was done, and how many a second are wanted."""
