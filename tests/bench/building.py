"""``python -m tests.bench.building <what> <options as JSON>``: builds what a bar measures upon, in
the database of ``DATABASE_URL``, and prints what the bar must know as a line of JSON."""

from __future__ import annotations

import json
import os
import sys
from importlib import import_module
from typing import Final

BUILDERS: Final = {
    "lists": "tests.bench.practice_of_size",
    "working_day": "tests.bench.working_day",
    "open_times": "tests.bench.many_practitioners",
    "export": "tests.bench.export",
    "due_work": "tests.bench.due_work",
    "plain_token": "tests.bench.plain_token",
    "kept_streams": "tests.bench.kept_streams",
    "kept_memory": "tests.bench.kept_memory",
    "growing": "tests.bench.growing",
}
"""Modules with a function ``build``; ``tables`` migrates and builds nothing."""


def main() -> None:
    """Build one thing."""
    what, options = sys.argv[1], json.loads(sys.argv[2])
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.settings"
    import django

    django.setup()
    from django.core.management import call_command

    if what == "tables":
        call_command("migrate", "--run-syncdb", "--no-input", verbosity=0)
        print("{}")
        return
    build = import_module(BUILDERS[what]).build
    # As web processes and workers do, whose work some of them measure.
    import_module("practice.core.collector").leave_start_up_alone()
    print(json.dumps(build(**options), default=str))


if __name__ == "__main__":
    main()
