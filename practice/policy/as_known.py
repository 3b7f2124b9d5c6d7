"""The practice's tables as they stood at an instant, from the history of their changes."""

from __future__ import annotations

from datetime import datetime
from typing import Any, TypeVar

import msgspec

from practice.core.reasons import not_found
from practice.policy.models import PracticeSetting, SettingChange
from practice.policy.rows import RevisionedModel

Revisioned = TypeVar("Revisioned", bound=RevisionedModel)
Group = TypeVar("Group")


def rows_as_known(model: type[Revisioned], at: datetime, **same: Any) -> list[Revisioned]:
    """The rows of a table as they stood: what was changed since is undone, newest first.

    A row that the history does not name has stood as it is since before. ``same``: only rows
    that had these values then.
    """
    rows = {str(row.pk): row for row in model._default_manager.filter(**same)}
    since = SettingChange.objects.filter(table=model._meta.label, occurred_at__gt=at)
    for change in since.order_by("-id"):
        if change.before is None:
            rows.pop(change.row_id, None)
        else:
            rows[change.row_id] = _row(model, change.before)
    found = rows.values()
    return [one for one in found if all(getattr(one, key) == same[key] for key in same)]


def lists_as_known(
    model: type[Revisioned], name: str, at: datetime
) -> dict[str, list[dict[str, Any]]]:
    """A list that belongs to each row of a table (``LISTS``) as it stood, by the row's id: only
    of rows that were changed since, the others have it as it is. Values are those of JSON."""
    since = SettingChange.objects.filter(table=model._meta.label, occurred_at__gt=at)
    return {
        change.row_id: change.before.get(name, []) if change.before else []
        for change in since.order_by("-id")
    }


def out_of_use_since(row: RevisionedModel) -> datetime | None:
    """When a row went out of use (``is_active``) for the last time; None: the history does not
    say."""
    ended = SettingChange.objects.filter(
        table=row._meta.label,
        row_id=str(row.pk),
        before__is_active=True,
        after__is_active=False,
    )
    return ended.order_by("-id").values_list("occurred_at", flat=True).first()


def settings_as_known(group: str, shape: type[Group], at: datetime) -> tuple[Group, int]:
    """A group of settings as it stood, and its revision then."""
    rows = [row for row in rows_as_known(PracticeSetting, at) if row.group == group]
    values = {row.key: row.value for row in rows}
    return msgspec.convert(values, shape), sum(row.revision for row in rows)


def settings_of_revision(group: str, revision: int) -> list[PracticeSetting]:
    """The settings of a group as they stood at one of its revisions, by key.

    Raises Rejected 404 for a group or revision that there never was.
    """
    rows = {str(row.pk): row for row in PracticeSetting.objects.filter(group=group)}
    ids = set(rows)
    changes = SettingChange.objects.filter(table=PracticeSetting._meta.label, row_id__in=ids)
    for change in [None, *changes.order_by("-id")]:
        if change is not None and change.before is not None:
            rows[change.row_id] = _row(PracticeSetting, change.before)
        if rows and sum(row.revision for row in rows.values()) == revision:
            return sorted(rows.values(), key=lambda row: row.key)
    raise not_found("revision of that group of settings")


def _row(model: type[Revisioned], kept: dict[str, Any]) -> Revisioned:
    columns = {f.attname: f for f in model._meta.concrete_fields}
    return model(
        **{name: columns[name].to_python(kept[name]) for name in columns.keys() & kept.keys()}
    )
