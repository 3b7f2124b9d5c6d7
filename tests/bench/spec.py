"""The benchmark's small record, declared like any app's."""

from __future__ import annotations

from practice.core.appspec import AppSpec
from tests.bench import record

APP = AppSpec(
    name="tests.bench",
    events=(record,),
    slices=(record.LATEST,),
    projections=(record.MEASURED_ROWS,),
    kept_tables=("bench.PlainReading",),
)
