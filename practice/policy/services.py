"""The practice's name and zone, and its settings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

import msgspec
from msgspec import inspect

from practice.core.appspec import installed
from practice.core.reasons import invalid
from practice.policy import change_log as history
from practice.policy import hooks
from practice.policy.domain.bounds import out_of_bounds_text
from practice.policy.fixtures import settings_in_files
from practice.policy.models import PRACTICE_ID, Practice, PracticeSetting
from practice.work.unit_of_work import UnitOfWork


def practice_change(
    uow: UnitOfWork, *, command: Mapping[str, Any], if_match: int | None = None
) -> Practice:
    """Change the practice's name, zone or phone."""
    row = history.lock_row(Practice, PRACTICE_ID, "practice", if_match=if_match)
    return history.update_row(uow, row, command, "practice")


def setting_change(
    uow: UnitOfWork, *, setting_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> PracticeSetting:
    """Change a setting's value with what it rests on. The value keeps its shape."""
    row = history.lock_row(PracticeSetting, setting_id, "setting", if_match=if_match)
    if "value" in command:
        _check_shape(row, command["value"])
        _check_bounds(row, command["value"])
    history.update_row(uow, row, command, "setting")
    if hooks.evaluates_sessions(row.group):
        hooks.notify_settings_changed(uow)
    return row


def _check_shape(row: PracticeSetting, value: Any) -> None:
    """Raises Rejected 400 where the value does not fit the group or what stood before."""
    shape = installed.settings.get(row.group)
    if shape is not None:
        group = dict(PracticeSetting.objects.filter(group=row.group).values_list("key", "value"))
        try:
            msgspec.convert({**group, row.key: value}, shape)
        except msgspec.ValidationError as error:
            words = ", ".join(_words_taken(shape, row.key))
            said = f"give one of: {words}" if words else str(error).partition(" - at ")[0]
            raise invalid("value", f"This does not fit {row.group}.{row.key}: {said}.") from None
    _check_kind(row.value, value)


def _words_taken(shape: type[msgspec.Struct], key: str) -> list[str]:
    """The words of a setting that takes one of a closed list; empty for any other."""
    found = next((one.type for one in _fields(shape) if one.name == key), None)
    if isinstance(found, inspect.LiteralType):
        return [str(one) for one in found.values]
    if isinstance(found, inspect.EnumType):
        return [str(one.value) for one in found.cls]
    return []


def _fields(shape: type[msgspec.Struct]) -> tuple[inspect.Field, ...]:
    info = inspect.type_info(shape)
    return info.fields if isinstance(info, inspect.StructType) else ()


def _check_bounds(row: PracticeSetting, value: Any) -> None:
    """Raises Rejected 400 for a number out of bounds or a span out of order."""
    shipped = settings_in_files().get((row.group, row.key), {}).get("value", row.value)
    text = out_of_bounds_text(
        value, minimum=row.minimum, maximum=row.maximum, unit=row.unit, shipped=shipped
    )
    if text is not None:
        raise invalid("value", text, "out_of_bounds")


def _check_kind(before: Any, value: Any) -> None:
    kinds: list[tuple[tuple[type, ...], str]] = [
        ((bool,), "true or false"),
        ((int, float), "a number"),
        ((str,), "a string"),
        ((list,), "a list"),
        ((dict,), "an object"),
    ]
    for kind, name in kinds:
        if isinstance(before, kind):
            flag = isinstance(value, bool) and bool not in kind
            if flag or not isinstance(value, kind):
                raise invalid("value", f"This setting is {name}, e.g. {before!r}.")
            return
