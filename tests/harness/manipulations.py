"""Changes of the database past the program: each column, row and table, and who names it.

``CHECKS`` are the checks; ``manipulations()`` lists what is done to the database, each with the
check that must name it. ``NAMED_BY_NOTHING`` holds what no check can see, each with its reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple
from uuid import UUID, uuid4

from django.apps import apps
from django.db import models

from practice.accesslog.models import AccessEntry
from practice.audit.models import BatchSeal
from practice.core.jobs import JobOrder
from practice.eventstore.models import StoredEvent, StreamHead
from practice.jobs.models import ScheduledJob
from practice.keys.keystore import PRACTICE_SUBJECT
from practice.keys.models import DataKey
from practice.people_and_places.models.staff import AccessToken
from practice.policy.models import RowSeal, SettingChange
from practice.policy.row_seals import sealed_tables
from practice.work.models import IdempotencyRecord, ReadTable
from sessions.notes.models import NoteDraft

VERIFICATION, COMPARISON = "verification", "comparison"

NAMED_BY_NOTHING = {
    "AccessToken: a row deleted": "its holder signs in again; nothing is opened or hidden",
    "IdempotencyRecord: a row deleted": "an answer of one day: its repeat is carried out anew",
    "NoteDraft: a row deleted": "working paper of one person until it is signed",
    "AccessEntry, SettingChange: a row of the last 15 minutes": "not sealed yet",
}


class Manipulation(NamedTuple):
    """Something done to the database; ``named_by`` the check that must say so."""

    name: str
    do: Callable[[], object]
    named_by: str


def other(field: Any, value: Any) -> Any:
    """Another value of the same kind."""
    if isinstance(field, models.ForeignKey):
        field = field.target_field
    match value:
        case bool():
            return not value
        case UUID():
            return uuid4()
        case int() | float():
            return value + 1000
        case datetime() | date():
            return value + timedelta(days=1)
        case time():
            return value.replace(minute=(value.minute + 1) % 60)
        case bytes() | memoryview():
            return bytes([bytes(value)[0] ^ 1, *bytes(value)[1:]]) if value else b"put in"
        case dict() | list():
            return [*value, "x"] if isinstance(value, list) else {**value, "put_in": 1}
        case str():
            longest = field.max_length or 1000
            return (value + "x")[-longest:] if value + "x" != value else "y"
    kinds: dict[str, Any] = {
        "UUIDField": uuid4(),
        "DateTimeField": datetime.fromisoformat("2031-05-06T07:08:09+00:00"),
        "DateField": date(2031, 5, 6),
        "BooleanField": True,
        "BinaryField": b"put in",
        "JSONField": {"put_in": 1},
        "FloatField": 1.5,
    }
    kind = field.get_internal_type()
    return kinds.get(kind, 7 if "Integer" in kind else "x")


def columns_of(
    model: type[models.Model], row: models.Model, named_by: str, *, but: tuple[str, ...] = ()
) -> Iterator[Manipulation]:
    """Each column of a row changed, but for some."""
    for field in model._meta.concrete_fields:
        if field.attname in but:
            continue
        value = other(field, getattr(row, field.attname))

        def do(name: str = field.attname, value: Any = value) -> object:
            return model._default_manager.filter(pk=row.pk).update(**{name: value})

        yield Manipulation(f"{model.__name__}.{field.attname} changed", do, named_by)


def gone(model: type[models.Model], row: models.Model, named_by: str) -> Manipulation:
    """A row deleted past the program."""
    rows = model._default_manager.filter(pk=row.pk)
    return Manipulation(
        f"{model.__name__}: a row deleted", lambda: rows._raw_delete(rows.db), named_by
    )


def copied(model: type[models.Model], row: models.Model, named_by: str, **new: Any) -> Manipulation:
    """A row put in, like another."""

    def do() -> None:
        values = {one.attname: getattr(row, one.attname) for one in model._meta.concrete_fields}
        model(**values | new).save(force_insert=True)

    return Manipulation(f"{model.__name__}: a row put in", do, named_by)


def manipulations() -> Iterator[Manipulation]:
    """All of them, on the rows that are there."""
    yield from of_the_log()
    yield from of_keys()
    yield from of_sealed_batches()
    yield from of_the_practice()
    yield from of_working_rows()
    yield from of_jobs()
    for model in apps.get_models():
        row = model._default_manager.first()
        if issubclass(model, ReadTable) and row is not None:
            yield from columns_of(model, row, COMPARISON, but=("id",))
            yield gone(model, row, COMPARISON)
            yield copied(model, row, COMPARISON, id=uuid4(), **_unique(model))


def _unique(model: type[models.Model]) -> dict[str, Any]:
    """New values of what must be unique, so that a copy can be put in."""
    return {
        one.attname: other(one, getattr(model._default_manager.first(), one.attname))
        for one in model._meta.concrete_fields
        if one.unique and not one.primary_key
    }


def of_the_log() -> Iterator[Manipulation]:
    stream = StoredEvent.objects.order_by("position").values_list("stream", flat=True)[0]
    events = StoredEvent.objects.filter(stream=stream)
    middle, last = events.get(version=2), events.order_by("-version")[0]
    head = StreamHead.objects.get(stream=stream)
    yield from columns_of(StoredEvent, middle, VERIFICATION)
    yield from columns_of(StreamHead, head, VERIFICATION)
    yield gone(StoredEvent, middle, VERIFICATION)
    yield copied(
        StoredEvent, last, VERIFICATION, position=last.position + 9999, version=last.version + 1
    )

    def tail() -> None:
        before = events.get(version=last.version - 1)
        events.filter(version=last.version).delete()
        StreamHead.objects.filter(stream=stream).update(
            version=before.version, mac=before.mac, recorded_at=before.recorded_at
        )

    def whole_stream() -> None:
        events.delete()
        StreamHead.objects.filter(stream=stream).delete()

    def with_its_rows_and_key() -> None:
        whole_stream()
        DataKey.objects.filter(subject=stream).delete()
        for model in apps.get_models():
            if issubclass(model, ReadTable):
                model._default_manager.filter(client_id=stream).delete()

    def swapped() -> None:
        for old, new in ((2, 9999), (3, 2), (9999, 3)):
            events.filter(version=old).update(version=new)

    yield Manipulation("the tail cut off with its head", tail, VERIFICATION)
    yield Manipulation("a stream deleted whole", whole_stream, VERIFICATION)
    yield Manipulation("a client deleted everywhere", with_its_rows_and_key, VERIFICATION)
    yield Manipulation("two events swapped", swapped, VERIFICATION)
    yield Manipulation(
        "an event of a stream's start moved out of sight",
        lambda: StreamHead.objects.filter(stream=stream).update(starts_at_version=3),
        COMPARISON,
    )
    yield Manipulation("a payload damaged", lambda: events.update(ciphertext=b"x" * 40), COMPARISON)


def of_keys() -> Iterator[Manipulation]:
    clients = DataKey.objects.exclude(subject=PRACTICE_SUBJECT).filter(destroyed_at=None)
    one, two = clients.filter(subject__in=StreamHead.objects.values("stream"))[:2]
    own = DataKey.objects.get(subject=PRACTICE_SUBJECT)
    dead = DataKey.objects.exclude(destroyed_at=None)[0]
    yield from columns_of(DataKey, one, VERIFICATION, but=("canary",))
    yield from columns_of(DataKey, own, VERIFICATION)
    yield gone(DataKey, one, VERIFICATION)

    def swapped() -> None:
        DataKey.objects.filter(pk=one.pk).update(subject=two.subject)
        DataKey.objects.filter(pk=two.pk).update(subject=one.subject)

    def wrapping() -> None:
        DataKey.objects.filter(pk=one.pk).update(wrapped=two.wrapped)

    def again() -> None:
        DataKey.objects.filter(pk=dead.pk).update(wrapped=two.wrapped)

    yield Manipulation("two clients' key rows swapped", swapped, VERIFICATION)
    yield Manipulation("a key's wrapping taken from another", wrapping, VERIFICATION)
    yield Manipulation("a destroyed key's wrapping put back", again, VERIFICATION)
    yield Manipulation(
        "a destroyed key called living",
        lambda: DataKey.objects.filter(pk=dead.pk).update(destroyed_at=None),
        VERIFICATION,
    )
    yield Manipulation("a lost key", lambda: clients.filter(pk=one.pk).delete(), COMPARISON)


def of_sealed_batches() -> Iterator[Manipulation]:
    for model in (AccessEntry, SettingChange):
        row = model._default_manager.order_by("pk")[1]
        yield from columns_of(model, row, VERIFICATION)
        yield gone(model, row, VERIFICATION)
        seals = BatchSeal.objects.filter(table=model._meta.label).order_by("number")

        def all_of_it(model: Any = model, seals: Any = seals) -> None:
            model._default_manager.all().delete()
            seals.delete()

        yield Manipulation(f"{model.__name__}: emptied with its seals", all_of_it, VERIFICATION)
    seal = BatchSeal.objects.order_by("pk")[0]
    yield from columns_of(BatchSeal, seal, VERIFICATION, but=("id",))
    yield gone(BatchSeal, seal, VERIFICATION)


def of_the_practice() -> Iterator[Manipulation]:
    for model in sealed_tables():
        row = model._default_manager.first()
        if row is None:
            continue
        yield from columns_of(model, row, VERIFICATION, but=("last_login",))
        yield gone(model, row, VERIFICATION)
        if model._meta.model_name != "practice":
            yield copied(model, row, VERIFICATION, id=uuid4(), **_unique(model), **_apart(model))
        for name in getattr(model, "LISTS", ()):
            owned = getattr(row, name)
            if not owned.exists():
                continue
            yield Manipulation(
                f"{model.__name__}.{name}: a row deleted",
                lambda owned=owned: owned.filter(pk=owned.first().pk).delete(),  # type: ignore[misc]
                VERIFICATION,
            )
        for many in model._meta.many_to_many:
            linked = getattr(row, many.name)
            if linked.exists():
                yield Manipulation(
                    f"{model.__name__}.{many.name}: a link deleted", linked.clear, VERIFICATION
                )
    changed = SettingChange.objects.exclude(after=None).order_by("-pk")[0]
    seal = RowSeal.objects.filter(table=changed.table, row_id=changed.row_id).get()
    model = apps.get_model(changed.table)
    before = changed.before or {}

    def put_back() -> None:
        """The row and its seal as they were before the last change, from a copy kept then."""
        names = {one.attname for one in model._meta.concrete_fields} & before.keys() - {"id"}
        row = model._default_manager.filter(pk=changed.row_id)
        row.update(**{name: before[name] for name in names})
        from practice.policy.row_seals import seal_rows

        seal_rows(row)

    yield Manipulation("a practice row put back with the seal of then", put_back, VERIFICATION)
    yield gone(RowSeal, seal, VERIFICATION)
    yield from columns_of(RowSeal, seal, VERIFICATION, but=("id",))


def _apart(model: type[models.Model]) -> dict[str, Any]:
    """Another value of one column of each unique constraint."""
    row = model._default_manager.first()
    found: dict[str, Any] = {}
    for constraint in model._meta.constraints:
        if isinstance(constraint, models.UniqueConstraint):
            for name in constraint.fields:
                field = model._meta.get_field(name)
                if isinstance(field, models.CharField | models.DateField):
                    found[field.attname] = other(field, getattr(row, field.attname))
                    break
    return found


def of_working_rows() -> Iterator[Manipulation]:
    answer = IdempotencyRecord.objects.exclude(response=None).order_by("pk")[0]
    yield from columns_of(IdempotencyRecord, answer, VERIFICATION, but=("id",))
    token = AccessToken.objects.order_by("created_at")[0]
    yield from columns_of(AccessToken, token, VERIFICATION)
    yield copied(AccessToken, token, VERIFICATION, id=uuid4(), digest="0" * 64)
    draft = NoteDraft.objects.order_by("pk")[0]
    for name in ("sealed", "session_id"):
        yield from columns_of(
            NoteDraft,
            draft,
            VERIFICATION,
            but=tuple(f.attname for f in NoteDraft._meta.concrete_fields if f.attname != name),
        )


def of_jobs() -> Iterator[Manipulation]:
    row = ScheduledJob.objects.filter(kind="recheck", status="waiting").order_by("due_at")[0]
    rows = ScheduledJob.objects.filter(pk=row.pk)
    operational = ("id", "claim", "lease_until", "attempts", "last_error", "done_at", "status")
    # The database takes no order that there is none of.
    yield Manipulation(
        "ScheduledJob.order changed",
        lambda: rows.update(order=JobOrder.SWEEP),
        COMPARISON,
    )
    yield from columns_of(
        ScheduledJob,
        row,
        COMPARISON,
        but=(*operational, *EXTRA_OPERATIONAL, "order"),
    )
    yield gone(ScheduledJob, row, COMPARISON)
    yield copied(ScheduledJob, row, COMPARISON, id=row.pk + 9999, key=f"{row.key}:2")
    for status in ("done", "withdrawn"):
        yield Manipulation(
            f"ScheduledJob.status: a waiting row called {status}",
            lambda status=status: rows.update(status=status),  # type: ignore[misc]
            COMPARISON,
        )


EXTRA_OPERATIONAL: tuple[str, ...] = ("first_failed_at",)
