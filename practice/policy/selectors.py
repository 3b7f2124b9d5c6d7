"""What sessions are evaluated by: settings, law, licences, competences, policy, supervision."""

from __future__ import annotations

from typing import Any, TypeVar
from uuid import UUID

import msgspec
from django.db.models import QuerySet

from practice.core.appspec import installed
from practice.core.reasons import existing
from practice.policy.models import PRACTICE_ID, Practice, PracticeSetting, SettingChange
from practice.work.request_cache import memoize

Group = TypeVar("Group")


def practice_get() -> Practice:
    """The practice itself."""
    return Practice.objects.get(pk=PRACTICE_ID)


def setting_list() -> QuerySet[PracticeSetting]:
    """Every setting of the practice."""
    return PracticeSetting.objects.all()


def setting_get(setting_id: UUID) -> PracticeSetting:
    """One setting. Raises Rejected 404."""
    return existing(setting_list().filter(pk=setting_id).first(), "setting")


def setting_change_list() -> QuerySet[SettingChange]:
    """Every change of a table of the practice."""
    return SettingChange.objects.all()


def settings_group(group: str, shape: type[Group]) -> tuple[Group, int]:
    """The settings of a group as its frozen struct, and the group's revision.

    The revision grows with every change of any of its settings.
    """
    return memoize(("settings", group, shape), lambda: _converted(group, shape))


def _converted(group: str, shape: type[Group]) -> tuple[Group, int]:
    rows = memoize("settings", _every_setting).get(group, [])
    values = {key: value for key, value, _ in rows}
    return msgspec.convert(values, shape), sum(revision for _, _, revision in rows)


def unreadable_settings() -> list[str]:
    """The groups of settings that the program cannot read, each with what is wrong: a new
    setting whose row ``migrate`` has not loaded yet."""
    found = []
    for group, shape in sorted(installed.settings.items()):
        try:
            settings_group(group, shape)
        except msgspec.ValidationError as error:
            found.append(f"The settings of {group} cannot be read: {error}. Run migrate.")
    return found


def _every_setting() -> dict[str, list[tuple[str, Any, int]]]:
    """All settings by group: a unit of work that needs several groups asks once."""
    found: dict[str, list[tuple[str, Any, int]]] = {}
    rows = PracticeSetting.objects.values_list("group", "key", "value", "revision")
    for group, key, value, revision in rows:
        found.setdefault(group, []).append((key, value, revision))
    return found
