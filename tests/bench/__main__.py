"""Runs the bars in the database of ``DATABASE_URL`` and writes the figures to a file."""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tests.bench.plan import TINY, Plan, Size


def main() -> None:
    """Prepare the tables, measure, print, write."""
    given = arguments()
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.settings"
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command

    call_command("migrate", "--run-syncdb", "--no-input", verbosity=0)
    size = TINY if given.tiny else Size()
    if given.clients:
        size = replace(size, clients=(size.clients[0], given.clients))
    plan = Plan(
        url=os.environ["DATABASE_URL"],
        folder=settings.VAR,
        pictures=given.out.with_suffix(""),
        rounds=given.rounds,
        size=size,
    )
    about, bars = measured(plan, given.bars)
    from tests.bench.report import as_json, table

    print(table(bars))
    given.out.write_text(json.dumps(as_json(bars, about), indent=1, default=str))


def arguments() -> argparse.Namespace:
    """What was asked for."""
    options = argparse.ArgumentParser(prog="python -m tests.bench")
    options.add_argument("--bars", nargs="*", default=[], help="only these")
    options.add_argument("--rounds", type=int, default=5)
    options.add_argument("--clients", type=int, default=0, help="of the large practice")
    options.add_argument("--tiny", action="store_true", help="only see that it runs")
    options.add_argument("--out", type=Path, required=True, help="the JSON file to write")
    return options.parse_args()


def measured(plan: Plan, wanted: Sequence[str]) -> tuple[dict[str, Any], list[Any]]:
    """The machine and the bars that were asked for, or all."""
    from django.db import connection

    from practice.core.collector import leave_start_up_alone
    from tests.bench.all_bars import BARS
    from tests.bench.measuring import fsync_ms, machine

    if unknown := set(wanted) - set(BARS):
        sys.exit(f"No such bars: {', '.join(sorted(unknown))}. There are: {', '.join(BARS)}.")
    with connection.cursor() as cursor:
        cursor.execute("SELECT version()")
        engine = cursor.fetchone()[0]
    about = machine() | {
        "at": datetime.now(UTC).isoformat(),
        "engine": engine,
        "fsync_ms": fsync_ms(plan.folder),
        "size": plan.size,
    }
    leave_start_up_alone()  # As every web process and worker does; the peers have it too.
    bars: list[Any] = []
    for name in wanted or BARS:
        start = time.perf_counter()
        bars += BARS[name](plan)
        print(f"bar {name}: {time.perf_counter() - start:.0f} s", flush=True)
    return about, bars


if __name__ == "__main__":
    main()
