"""A seal for each row of the practice's tables: whatever changes one past the program shows.

The seal is an HMAC under the chain's key over the row as it stands, its lists and password
included. It is written with the row by ``change_log`` and by the loaders of starting values.
"""

from __future__ import annotations

import hmac
import json
from collections.abc import Iterable, Iterator
from typing import Any, Final

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db import DEFAULT_DB_ALIAS, models

from practice.eventstore.envelope import chain_key
from practice.policy.models import RowSeal, SettingChange
from practice.policy.rows import RevisionedModel

SECRET: Final = frozenset({"password", "last_login"})
COMES_WITH_THE_PROGRAM: Final = frozenset({"minimum", "maximum"})
"""Columns that loading moves with a new version of the program; their history says nothing."""


def snapshot(row: models.Model) -> dict[str, Any]:
    """A row with the lists that belong to it, as JSON; never a password."""
    seen = {
        f.attname: f.value_from_object(row)
        for f in row._meta.concrete_fields
        if f.attname not in SECRET
    }
    for many in row._meta.many_to_many:
        ids = getattr(row, many.name).values_list("pk", flat=True)
        seen[many.name] = sorted(str(pk) for pk in ids)
    for name in getattr(row, "LISTS", ()):
        seen[name] = list(getattr(row, name).values())
    plain: dict[str, Any] = json.loads(json.dumps(seen, cls=DjangoJSONEncoder))
    return plain


def seal_rows(rows: Iterable[models.Model], *, using: str = DEFAULT_DB_ALIAS) -> None:
    """Seal rows as the database holds them now, new or changed."""
    by_model: dict[type[models.Model], list[Any]] = {}
    for row in rows:
        by_model.setdefault(type(row), []).append(row.pk)
    # Read again: what was typed (5) and what is kept (5.0) need not be the same bytes.
    stored = [
        row
        for model, ids in by_model.items()
        for row in model._default_manager.using(using).filter(pk__in=ids)
    ]
    RowSeal.objects.using(using).bulk_create(
        [
            RowSeal(table=row._meta.label, row_id=str(row.pk), mac=_mac(row, snapshot(row)))
            for row in stored
        ],
        update_conflicts=True,
        unique_fields=["table", "row_id"],
        update_fields=["mac"],
    )


def drop_seal(row: models.Model) -> None:
    """The row is about to be deleted by the program."""
    RowSeal.objects.filter(table=row._meta.label, row_id=str(row.pk)).delete()


def sealed_tables() -> list[type[RevisionedModel]]:
    """Every practice table whose rows have seals."""
    return [one for one in apps.get_models() if issubclass(one, RevisionedModel)]


def row_faults() -> Iterator[str]:
    """Every row that is not as the program wrote it, is gone or was put in, as sentences."""
    seals = {(one.table, one.row_id): bytes(one.mac) for one in RowSeal.objects.all()}
    last = _last_changes()
    for model in sealed_tables():
        for row in model._default_manager.all():
            name = (model._meta.label, str(row.pk))
            shown = snapshot(row)
            mac, kept = seals.pop(name, None), last.pop(name, None)
            if mac is None:
                yield f"{name[0]} {name[1]}: a row that the program did not write"
            elif not hmac.compare_digest(mac, _mac(row, shown)):
                yield f"{name[0]} {name[1]}: the row is not as it was written"
            if kept is not None and not _same(kept.after, shown):
                yield f"{name[0]} {name[1]}: the row differs from the last change in its history"
    for table, row_id in seals:
        yield f"{table} {row_id}: the row is gone"
    for (table, row_id), change in last.items():
        if change.after is not None:
            yield f"{table} {row_id}: by its history the row stands, and it is gone"


def _last_changes() -> dict[tuple[str, str], SettingChange]:
    found = {}
    for change in SettingChange.objects.order_by("id").iterator():
        found[change.table, change.row_id] = change
    return found


def _mac(row: models.Model, shown: dict[str, Any]) -> bytes:
    """``ADDED`` of a model: columns that came after its first rows were sealed, with the value
    that those have. A row that has it is sealed as if there were no such column."""
    added = getattr(row, "ADDED", {})
    unset = {name for name, empty in added.items() if shown[name] == empty}
    body = {
        "table": row._meta.label,
        "row": {name: _ordered(value) for name, value in shown.items() if name not in unset},
        "password": getattr(row, "password", ""),
    }
    return hmac.digest(chain_key()[1], json.dumps(body, sort_keys=True).encode(), "sha256")


def _ordered(value: Any) -> Any:
    """Lists of rows in an order of their own: that of a query may differ from time to time."""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return sorted(value, key=lambda one: json.dumps(one, sort_keys=True))
    return value


def _same(after: dict[str, Any] | None, shown: dict[str, Any]) -> bool:
    """Whether a row stands as its history left it, in the columns that both know."""
    if after is None:
        return False
    both = (after.keys() & shown.keys()) - COMES_WITH_THE_PROGRAM
    return all(_ordered(after[name]) == _ordered(shown[name]) for name in both)
