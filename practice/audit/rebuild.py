"""Makes the read tables again from the log, or compares them with it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from uuid import UUID

from django.db import IntegrityError, connection, transaction
from django.db.models import Exists, OuterRef, QuerySet

from practice.audit.job_faults import job_faults
from practice.audit.worker_processes import in_processes
from practice.clock import clock
from practice.core.appspec import installed
from practice.core.collector import collector_paused
from practice.core.events import RecordedEvent, UnknownEventVersion
from practice.core.projections import ProjectedRow
from practice.eventstore import store
from practice.eventstore.models import StreamHead
from practice.eventstore.snapshot import snapshot
from practice.jobs.selectors import jobs_about
from practice.keys.keystore import UnreadableRecordError, keystore
from practice.work.models import ReadTable
from practice.work.projection_runner import columns, model_of, replay_projections
from practice.work.read_table_builds import all_rows_made

Key = tuple[UUID, UUID]


@dataclass
class RebuildResult:
    """How much was rebuilt or compared, and every difference found, as sentences."""

    streams: int = 0
    events: int = 0
    rows: int = 0
    differences: list[str] = field(default_factory=list)

    def add(self, other: RebuildResult) -> None:
        """Count what was done elsewhere."""
        self.streams += other.streams
        self.events += other.events
        self.rows += other.rows
        self.differences += other.differences


MOST_KEYS = 1_000
BATCH_EVENTS, BATCH_STREAMS = 10_000, 400
"""One transaction rebuilds so many: their writers wait some tenths of a second."""


def batches() -> Iterator[list[UUID]]:
    """Every stream that has events, in order, in batches of a like size."""
    batch: list[UUID] = []
    events = 0
    heads = StreamHead.objects.filter(version__gt=0).order_by("stream")
    for stream, version in heads.values_list("stream", "version"):
        batch.append(stream)
        events += version
        if events >= BATCH_EVENTS or len(batch) >= BATCH_STREAMS:
            yield batch
            batch, events = [], 0
    if batch:
        yield batch


@dataclass
class ReadableStreams:
    """The events of some streams by the log, and what cannot be read or is not so, as sentences.

    A stream that cannot be read stops no check and no other stream: it is named and left out.
    """

    events: dict[UUID, list[RecordedEvent]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)


def read_streams(heads: dict[UUID, int]) -> ReadableStreams:
    """The events of streams, given with the version at which their heads let them start."""
    found = ReadableStreams()
    keystore.fetch(heads)
    stored = store.stored_streams(list(heads))
    for stream, said in heads.items():
        if stream not in stored:
            found.faults.append(f"{stream}: its head stands and its events are gone")
            continue
        by_the_log = stored[stream].starts_at_version
        if by_the_log != said:
            found.faults.append(
                f"{stream}: the head lets it start at {said}, by the log it is {by_the_log}"
            )
        try:
            found.events[stream] = stored[stream].events()
        except UnreadableRecordError as error:
            found.faults.append(f"{stream}: cannot be read: {error}")
        except UnknownEventVersion as error:
            found.faults.append(f"{stream}: written by a newer version of the program: {error}")
    return found


def rebuild(processes: int = 1) -> RebuildResult:
    """Make every read table again, batch by batch under the locks of the heads.

    A row that is as the log says is left alone. Readers see the old rows of a client until they
    are replaced, all at once. Where every stream could be read, no rebuild is due any more.
    """
    done = RebuildResult()
    for projection in installed.projections.values():
        without_stream(model_of(projection)).delete()
    for part in in_processes(processes, rebuild_batch, list(batches())):
        done.add(part)
    if not done.differences:
        all_rows_made()
    return done


@collector_paused()
def rebuild_batch(streams: list[UUID]) -> RebuildResult:
    """Make the rows of some streams again, in one transaction.

    The rows of a stream that cannot be read stay as they are; the result names it.
    """
    done = RebuildResult()
    wanted: dict[str, dict[UUID, ProjectedRow]] = {table: {} for table in installed.projections}
    with transaction.atomic(durable=True):
        heads = store.lock_heads(streams)
        read = read_streams({one: head.starts_at_version for one, head in heads.items()})
        done.streams, done.differences = len(read.events), read.faults
        for stream, events in read.events.items():
            done.events += len(events)
            for table, rows in replay_projections(stream, events).items():
                wanted[table].update(rows)
        for table, rows in wanted.items():
            write_differences(model_of(installed.projections[table]), read.events, rows)
            done.rows += len(rows)
    return done


def write_differences(
    model: type[ReadTable], streams: Iterable[UUID], wanted: dict[UUID, ProjectedRow]
) -> None:
    """Make the rows of some streams those that are wanted, by primary key."""
    stored = stored_rows(model, streams)
    wrong = [key for key, row in stored.items() if wanted.get(key) != row]
    new = [row for key, row in wanted.items() if stored.get(key) != row]
    if wrong or new:
        replace_rows(model, wrong, new)


def replace_rows(model: type[ReadTable], old: list[UUID], new: list[ProjectedRow]) -> None:
    """Delete rows and insert others in bulk: by COPY on PostgreSQL, through the ORM elsewhere."""
    _delete(model, old)
    try:
        with transaction.atomic():
            _insert(model, new)
    except IntegrityError:
        # A row stands under another client, where a hand has put it.
        _delete(model, [row["id"] for row in new])
        _insert(model, new)


def _delete(model: type[ReadTable], keys: list[UUID]) -> None:
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        if keys:
            postgresql.delete(model, keys)
        return
    for first in range(0, len(keys), MOST_KEYS):
        model._default_manager.filter(pk__in=keys[first : first + MOST_KEYS]).delete()


def _insert(model: type[ReadTable], rows: list[ProjectedRow]) -> None:
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        postgresql.insert(model, rows)
    else:
        model._default_manager.bulk_create(model(**row) for row in rows)


def compare() -> RebuildResult:
    """Compare every column of every read table with the log, both ways.

    People may work meanwhile: each batch is read as it stood at one moment.
    """
    done = RebuildResult()
    reached: UUID | None = None
    while True:
        part, reached = compare_batch(reached)
        done.add(part)
        if reached is None:
            done.differences += strangers()
            return done


@collector_paused()
def compare_batch(after: UUID | None) -> tuple[RebuildResult, UUID | None]:
    """Compare the streams that follow one in order; the last one compared, None at the end."""
    done = RebuildResult()
    with snapshot():
        heads = _heads_after(after)
        read = read_streams(heads)
        done.differences += read.faults
        stored = {
            table: by_stream(stored_rows(model_of(one), heads))
            for table, one in installed.projections.items()
        }
        jobs = jobs_about(heads)
        for stream, events in read.events.items():
            present = {table: rows.get(stream, {}) for table, rows in stored.items()}
            done.add(compare_stream(stream, events, present))
            done.differences += job_faults(events, jobs.get(stream, ()), now=clock.now())
    return done, max(heads, default=None)


def _heads_after(after: UUID | None) -> dict[UUID, int]:
    """The next batch of streams that have events, with where their heads let them start."""
    heads = StreamHead.objects.filter(version__gt=0).order_by("stream")
    if after is not None:
        heads = heads.filter(stream__gt=after)
    found: dict[UUID, int] = {}
    events = 0
    for stream, start, version in heads.values_list("stream", "starts_at_version", "version")[
        :BATCH_STREAMS
    ]:
        found[stream] = start
        events += version
        if events >= BATCH_EVENTS:
            break
    return found


def strangers() -> list[str]:
    """Rows of read tables that belong to no stream, as sentences."""
    return [
        f"{projection.name} {key}: belongs to no stream"
        for projection in installed.projections.values()
        for key in without_stream(model_of(projection)).values_list("pk", flat=True)
    ]


def without_stream(model: type[ReadTable]) -> QuerySet[ReadTable]:
    """The rows of a read table whose client has no events."""
    own = StreamHead.objects.filter(version__gt=0, stream=OuterRef("client_id"))
    return model._default_manager.filter(~Exists(own))


def compare_stream(
    stream: UUID, events: list[RecordedEvent], present: dict[str, dict[UUID, ProjectedRow]]
) -> RebuildResult:
    """Compare the rows of one stream, by table and primary key, with its events."""
    done = RebuildResult(streams=1, events=len(events))
    for table, wanted in replay_projections(stream, events).items():
        done.rows += len(present[table])
        done.differences += list(_compare(table, wanted, present[table]))
    return done


def stored_rows(model: type[ReadTable], streams: Iterable[UUID]) -> dict[UUID, ProjectedRow]:
    """The rows of a read table that belong to some streams, by primary key."""
    rows: Iterable[ProjectedRow]
    if connection.vendor == "postgresql":
        from practice.eventstore import postgresql

        rows = postgresql.rows_of(model, streams)
    else:
        names = [one.attname for one in columns(model)]
        rows = model._default_manager.filter(client_id__in=list(streams)).values(*names)
    return {row["id"]: row for row in rows}


def by_stream(rows: dict[UUID, ProjectedRow]) -> dict[UUID, dict[UUID, ProjectedRow]]:
    """The same by stream and primary key."""
    found: dict[UUID, dict[UUID, ProjectedRow]] = {}
    for key, row in rows.items():
        found.setdefault(row["client_id"], {})[key] = row
    return found


def _compare(
    table: str, wanted: dict[UUID, ProjectedRow], present: dict[UUID, ProjectedRow]
) -> Iterator[str]:
    for key in sorted(wanted.keys() | present.keys()):
        if key not in present:
            yield f"{table} {key}: missing from the table"
        elif key not in wanted:
            yield f"{table} {key}: not in the log"
        else:
            for column, value in wanted[key].items():
                if present[key][column] != value:
                    yield f"{table} {key}: column {column} differs from the log"
