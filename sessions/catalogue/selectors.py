"""Questions on the catalogue of stretches."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from clients.permissions.domain.stretch import StretchSpec
from practice.core.reasons import existing, not_found
from sessions.catalogue.domain.content import catalogue_content, stretch_spec
from sessions.catalogue.models import Stretch


def latest_stretches() -> list[Stretch]:
    """The latest version of every stretch in use, by code."""
    return _latest(Stretch.objects.all())


def _latest(rows: Iterable[Stretch]) -> list[Stretch]:
    latest = {row.code: row for row in sorted(rows, key=lambda row: (row.code, row.version))}
    return [row for row in latest.values() if row.is_active]


def stretch_names() -> dict[str, str]:
    """The name of every stretch in use, by code."""
    return {row.code: row.content["name"] for row in latest_stretches()}


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


def catalogue_specs() -> tuple[Sequence[StretchSpec], int]:
    """The stretches in use as permissions know them, and the catalogue's version.

    The version grows with every change of any stretch.
    """
    return specs_of(list(Stretch.objects.all()))


def specs_of(rows: Sequence[Stretch]) -> tuple[Sequence[StretchSpec], int]:
    """The same of the rows of the catalogue as they stood at some time."""
    specs = [
        stretch_spec(catalogue_content(row.content), code=row.code, version=row.version)
        for row in _latest(rows)
    ]
    return specs, len(rows)
