"""Commands on the catalogue of stretches: loading what is missing, adding a version."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import msgspec
from django.db import DEFAULT_DB_ALIAS
from django.utils.text import slugify

from practice.core.reasons import Rejected, check_version, invalid
from practice.policy import change_log as history
from practice.policy.fixtures import fixtures_folder
from practice.policy.hooks import notify_settings_changed
from practice.policy.row_seals import seal_rows
from practice.work.unit_of_work import UnitOfWork
from sessions.catalogue.domain.content import StretchContent, catalogue_content
from sessions.catalogue.domain.doses import check_dose
from sessions.catalogue.models import Stretch


def stretches_in_file() -> dict[str, Any]:
    """The catalogue that the practice starts with: content by code."""
    file = fixtures_folder() / "stretches.json"
    found: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return found


def as_json(content: StretchContent) -> Any:
    """The content as the database gives it back."""
    return msgspec.json.decode(msgspec.json.encode(content))


def load_missing_stretches(*, using: str = DEFAULT_DB_ALIAS, **_: Any) -> None:
    """Load the stretches that are not there yet. Runs after every migrate and flush."""
    if using != DEFAULT_DB_ALIAS:
        return
    there = set(Stretch.objects.using(using).values_list("code", flat=True))
    added = Stretch.objects.using(using).bulk_create(
        Stretch(code=code, content=as_json(catalogue_content(content)))
        for code, content in stretches_in_file().items()
        if code not in there
    )
    seal_rows(added, using=using)


def check_content(raw: Any) -> StretchContent:
    """Content that makes sense as a stretch. Raises Rejected 400."""
    content = catalogue_content(raw)
    if not content.doses:
        raise invalid("content", "A stretch needs a dose for at least one technique.")
    if len(set(content.techniques)) != len(content.doses):
        raise invalid("content", "A stretch has one default dose for each technique.")
    for dose in content.doses:
        check_dose(dose)
    if content.two_armed and not content.sided:
        raise invalid("content", "Say either two_armed or sided false, not both.")
    return content


def stretch_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Stretch:
    """A new stretch: ``code`` and ``content``. Raises Rejected 409 where the code is taken."""
    code: str = command["code"]
    if not code or slugify(code).replace("-", "_") != code:
        raise invalid("code", "A code has small letters, digits and underscores: chest_arms_out.")
    if Stretch.objects.filter(code=code).exists():
        raise Rejected("already_there", "There is such a stretch: change it instead.")
    values = {"content": as_json(check_content(command["content"])), "is_active": True}
    row = history.create_row(uow, Stretch(code=code), values, "stretch")
    notify_settings_changed(uow)
    return row


def stretch_change(
    uow: UnitOfWork, *, code: str, command: Mapping[str, Any], if_match: int | None = None
) -> Stretch:
    """The next version of a stretch, with other ``content`` or ``is_active``; the ones before
    are kept. ``if_match`` is its version. Nothing happens where nothing differs.
    """
    latest = _locked_latest(code, if_match)
    content, is_active = command.get("content"), command.get("is_active")
    made = latest.content if content is None else as_json(check_content(content))
    active = latest.is_active if is_active is None else is_active
    if (made, active) == (latest.content, latest.is_active):
        return latest
    row = Stretch(code=code, version=latest.version + 1)
    history.create_row(uow, row, {"content": made, "is_active": active}, "version of the stretch")
    notify_settings_changed(uow)
    return row


def _locked_latest(code: str, if_match: int | None) -> Stretch:
    from sessions.catalogue.selectors import stretch_get

    latest = history.lock_row(Stretch, stretch_get(code).pk, "stretch")
    check_version(latest.version, if_match)
    return latest
