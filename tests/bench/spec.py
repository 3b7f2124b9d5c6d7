"""The benchmark's small record, declared like any app's."""

from __future__ import annotations

from practice.core.appspec import AppSpec
from tests.bench import jobs, record

APP = AppSpec(
    name="tests.bench",
    events=(record,),
    slices=(record.LATEST,),
    projections=(record.MEASURED_ROWS,),
    job_kinds=jobs.KINDS,
    job_handlers={jobs.HANDLED: jobs.handle, jobs.JOINED: jobs.handle},
    job_deliveries={jobs.DELIVERED: jobs.deliver},
    kept_tables=("bench.PlainReading",),
)
