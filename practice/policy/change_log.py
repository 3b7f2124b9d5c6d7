"""Every change of a practice table goes through here and leaves what stood before."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, TypeVar
from uuid import UUID

from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, connection, models, transaction

from practice.clock import clock
from practice.core.reasons import Rejected, check_version, existing
from practice.policy.models import SettingChange
from practice.policy.row_seals import SECRET, drop_seal, seal_rows, snapshot
from practice.policy.rows import RevisionedModel
from practice.work.request_cache import invalidate
from practice.work.unit_of_work import UnitOfWork

Revisioned = TypeVar("Revisioned", bound=RevisionedModel)

_NUMBERING: Final = frozenset({"id"})


def record_change(
    uow: UnitOfWork, row: models.Model, before: dict[str, Any] | None, after: dict[str, Any] | None
) -> None:
    """Write down what stood in a row before and after, and seal the row as it stands."""
    invalidate()
    if after is None:
        drop_seal(row)
    else:
        seal_rows([row])
    SettingChange.objects.create(
        table=row._meta.label,
        row_id=str(row.pk),
        occurred_at=clock.now(),
        actor=uow.actor.id,
        request_id=uow.request_id,
        before=before,
        after=after,
    )


def lock_row(
    model: type[Revisioned],
    row_id: UUID,
    what: str,
    *,
    if_match: int | None = None,
    scope: Mapping[str, Any] | None = None,
) -> Revisioned:
    """A row under its lock. Raises Rejected: 404 where there is none, 412 where it is stale."""
    rows = model._default_manager.filter(pk=row_id, **(scope or {}))
    if connection.features.has_select_for_no_key_update:
        rows = rows.select_for_update(no_key=True)
    row = existing(rows.first(), what)
    invalidate()  # What was read before the wait may be old.
    check_version(row.revision, if_match)
    return row


def create_row(
    uow: UnitOfWork, row: Revisioned, values: Mapping[str, Any], what: str
) -> Revisioned:
    """Write a new row with its lists. Raises Rejected 409 where such a row exists."""
    _write(row, values, what)
    record_change(uow, row, None, snapshot(row))
    return row


def update_row(
    uow: UnitOfWork, row: Revisioned, values: Mapping[str, Any], what: str
) -> Revisioned:
    """Write changed values of a locked row; nothing happens where nothing differs."""
    before = snapshot(row)
    secret = {name: getattr(row, name, None) for name in SECRET}
    revision = row.revision
    row.revision += 1
    _write(row, values, what)
    after = snapshot(row)
    same = {**after, "revision": revision} == before
    if same and secret == {name: getattr(row, name, None) for name in SECRET}:
        row.revision = revision
        row.save(update_fields=["revision"])
        return row
    record_change(uow, row, before, after)
    return row


def delete_row(uow: UnitOfWork, row: RevisionedModel) -> None:
    """Delete a locked row; the history keeps it."""
    record_change(uow, row, snapshot(row), None)
    row.delete()


def _write(row: RevisionedModel, values: Mapping[str, Any], what: str) -> None:
    """Columns first, then many-to-many sets, then owned lists (replaced whole)."""
    many = {f.name for f in row._meta.many_to_many}
    lists = set(getattr(row, "LISTS", ()))
    for name, value in values.items():
        if name not in many and name not in lists:
            setattr(row, name, value)
    try:
        with transaction.atomic():
            row.save()
            for name in many & values.keys():
                getattr(row, name).set(values[name])
            for name in lists & values.keys():
                _replace(row, name, values[name])
    except IntegrityError as error:
        raise Rejected("already_there", f"There is such a {what} already.") from error


def _replace(row: RevisionedModel, name: str, items: list[dict[str, Any]]) -> None:
    """Put a list in place of the one before; unchanged lists keep their rows."""
    manager = getattr(row, name)
    owner = manager.field.attname
    present = [
        {k: v for k, v in item.items() if k not in (*_NUMBERING, owner)}
        for item in manager.values()
    ]
    key = DjangoJSONEncoder(sort_keys=True).encode
    if sorted(map(key, present)) == sorted(map(key, items)):
        return
    manager.all().delete()
    manager.bulk_create([manager.model(**{owner: row.pk, **item}) for item in items])
