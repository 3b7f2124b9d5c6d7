"""What sessions are evaluated by: settings, law, licences, competences, policy, supervision."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple, TypeVar
from uuid import UUID

import msgspec
from django.contrib.auth import get_user_model
from django.db.models import OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from practice.core.appspec import installed
from practice.core.reasons import existing
from practice.policy.models import PRACTICE_ID, Practice, PracticeSetting, SettingChange
from practice.work.request_cache import memoize

Group = TypeVar("Group")


def practice_get() -> Practice:
    """The practice itself."""
    return Practice.objects.get(pk=PRACTICE_ID)


class PracticeAddress(NamedTuple):
    """How the practice calls itself to those whom it writes to."""

    name: str
    phone: str
    postal_address: str


def practice_address() -> PracticeAddress:
    """Kept as long as nobody changes it."""
    return memoize("practice address", lambda: _address(practice_get()))


def _address(row: Practice) -> PracticeAddress:
    return PracticeAddress(row.name, row.phone, row.postal_address)


def setting_list() -> QuerySet[PracticeSetting]:
    """Every setting of the practice."""
    return PracticeSetting.objects.all()


def setting_get(setting_id: UUID) -> PracticeSetting:
    """One setting. Raises Rejected 404."""
    return existing(setting_list().filter(pk=setting_id).first(), "setting")


def setting_change_list() -> QuerySet[SettingChange]:
    """Every change of a table of the practice, with the name of whose account made it."""
    accounts = get_user_model().objects.filter(pk=OuterRef("actor"))
    return SettingChange.objects.annotate(
        actor_name=Coalesce(Subquery(accounts.values("name")), Value(""))
    )


def settings_group(group: str, shape: type[Group]) -> tuple[Group, int]:
    """The settings of a group as its frozen struct, and the group's revision.

    The revision grows with every change of any of its settings.
    """
    return memoize(("settings", group, shape), lambda: _converted(group, shape))


def _converted(group: str, shape: type[Group]) -> tuple[Group, int]:
    rows = memoize("settings", _every_setting).get(group, ())
    values = {key: msgspec.json.decode(value) for key, value, _ in rows}
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


def _every_setting() -> Mapping[str, tuple[tuple[str, bytes, int], ...]]:
    """All settings by group, the values as JSON that nobody can change: a unit of work that
    needs several groups asks once."""
    found: dict[str, tuple[tuple[str, bytes, int], ...]] = {}
    rows = PracticeSetting.objects.values_list("group", "key", "value", "revision")
    for group, key, value, revision in rows:
        kept = (key, msgspec.json.encode(value), revision)
        found[group] = (*found.get(group, ()), kept)
    return MappingProxyType(found)
