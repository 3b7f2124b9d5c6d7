"""What sessions are evaluated by: settings, law, licences, competences, policy, supervision."""

from __future__ import annotations

from collections.abc import Iterable
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
    return memoize("settings", _every_setting).group(group, shape)


class _Settings:
    """All settings as they were read at one time; each group is made once of them."""

    def __init__(self, rows: Iterable[tuple[str, str, Any, int]]) -> None:
        self._rows: dict[str, list[tuple[str, Any, int]]] = {}
        for group, key, value, revision in rows:
            self._rows.setdefault(group, []).append((key, value, revision))
        self._made: dict[tuple[str, type[Any]], tuple[Any, int]] = {}

    def group(self, group: str, shape: type[Group]) -> tuple[Group, int]:
        """A group and its revision."""
        if (group, shape) not in self._made:
            rows = self._rows.get(group, [])
            values = {key: value for key, value, _ in rows}
            made = msgspec.convert(values, shape), sum(revision for _, _, revision in rows)
            self._made[group, shape] = made
        return self._made[group, shape]


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


def _every_setting() -> _Settings:
    """A unit of work that needs several groups asks once."""
    return _Settings(PracticeSetting.objects.values_list("group", "key", "value", "revision"))
