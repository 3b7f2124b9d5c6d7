"""Runs the bars in the database of ``DATABASE_URL`` and writes the figures to a file."""

from __future__ import annotations

import argparse
import json
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any


def main() -> None:
    """Prepare the tables, measure, print, write."""
    options = argparse.ArgumentParser(prog="python -m tests.bench")
    options.add_argument("--bars", nargs="*", default=["1", "2", "3", "5"])
    options.add_argument("--rounds", type=int, default=5)
    options.add_argument("--out", type=Path, required=True, help="the JSON file to write")
    given = options.parse_args()
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.settings"
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", "--run-syncdb", "--no-input", verbosity=0)
    about, bars = measured(given.bars, given.rounds)
    from tests.bench.report import as_json, table

    print(table(bars))
    given.out.write_text(json.dumps(as_json(bars, about), indent=1, default=str))


def measured(wanted: list[str], rounds: int) -> tuple[dict[str, Any], list[Any]]:
    """The machine and the bars that were asked for."""
    from django.conf import settings
    from django.db import connection

    from tests.bench import bars_record
    from tests.bench.measuring import fsync_ms, machine

    url = os.environ["DATABASE_URL"]
    with connection.cursor() as cursor:
        cursor.execute("SELECT version()")
        engine = cursor.fetchone()[0]
    about = machine() | {
        "at": datetime.now(UTC).isoformat(),
        "engine": engine,
        "fsync_ms": fsync_ms(settings.VAR),
    }
    bars: list[Any] = []
    if "1" in wanted:
        bars += bars_record.command_on_a_stream(url, rounds, each=100)
    if "2" in wanted:
        bars += bars_record.fold_of_a_long_stream(url, rounds, each=6)
    if "3" in wanted:
        from tests.bench import bars_http

        bars += bars_http.reading_over_http(settings.VAR, rounds, each=400)
    if "5" in wanted:
        bars += bars_record.whole_log(rounds=3)
    return about, bars


if __name__ == "__main__":
    main()
