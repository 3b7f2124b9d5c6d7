"""Questions on the catalogue of stretches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from clients.permissions.domain.stretch import StretchSpec
from practice.core.reasons import existing, not_found
from practice.work.request_cache import memoize
from sessions.catalogue.domain.content import StretchContent, catalogue_content, stretch_spec
from sessions.catalogue.models import Stretch


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The stretches in use by code: what they are, and as permissions know them. ``version``
    grows with every change of any stretch."""

    contents: Mapping[str, StretchContent]
    specs: tuple[StretchSpec, ...]
    version: int


def catalogue() -> Catalogue:
    """The catalogue as it stands, kept in the process for as long as nobody changes it."""
    return memoize("catalogue", lambda: catalogue_of(list(Stretch.objects.all())))


def catalogue_of(rows: Sequence[Stretch]) -> Catalogue:
    """The same of the rows of the catalogue as they stood at some time."""
    latest = {row.code: (catalogue_content(row.content), row.version) for row in _latest(rows)}
    return Catalogue(
        contents=MappingProxyType({code: content for code, (content, _) in latest.items()}),
        specs=tuple(
            stretch_spec(content, code=code, version=version)
            for code, (content, version) in latest.items()
        ),
        version=len(rows),
    )


def latest_stretches() -> list[Stretch]:
    """The latest version of every stretch in use, by code."""
    return _latest(Stretch.objects.all())


def _latest(rows: Iterable[Stretch]) -> list[Stretch]:
    latest = {row.code: row for row in sorted(rows, key=lambda row: (row.code, row.version))}
    return [row for row in latest.values() if row.is_active]


def stretch_names() -> dict[str, str]:
    """The name of every stretch in use, by code."""
    return {code: content.name for code, content in catalogue().contents.items()}


def stretch_versions(code: str) -> list[Stretch]:
    """Every version of a stretch, newest first. Raises Rejected 404."""
    found = list(Stretch.objects.filter(code=code).order_by("-version"))
    if not found:
        raise not_found("stretch in the catalogue")
    return found


def stretch_get(code: str, version: int | None = None) -> Stretch:
    """One version of a stretch, by default the latest. Raises Rejected 404."""
    versions = stretch_versions(code)
    if version is None:
        return versions[0]
    return existing(
        next((row for row in versions if row.version == version), None), "version of that stretch"
    )
