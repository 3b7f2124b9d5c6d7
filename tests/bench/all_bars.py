"""The bars by the names under which they are asked for, in the order in which they run."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from tests.bench import (
    bars_due,
    bars_growth,
    bars_http,
    bars_lists,
    bars_memory,
    bars_open_times,
    bars_record,
    bars_requests,
    bars_start,
    bars_workers,
)
from tests.bench.plan import Plan
from tests.bench.report import Bar

BARS: Final[dict[str, Callable[[Plan], list[Bar]]]] = {
    "1": bars_record.command_on_a_stream,
    "2": bars_record.fold_of_a_long_stream,
    "3": bars_http.reading_over_http,
    "4": bars_lists.lists_at_two_sizes,
    "5": bars_record.whole_log,
    "6": bars_due.due_work,
    "7": lambda plan: bars_open_times.open_times(plan) + bars_open_times.exports(plan),
    "8": bars_start.start_up,
    "requests": bars_requests.requests_of_the_day,
    "memory": bars_memory.memory,
    "workers": bars_workers.worker_classes,
    "growth": bars_growth.growth,
}
