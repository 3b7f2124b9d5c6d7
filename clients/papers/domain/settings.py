"""The practice's settings of papers that are waited for."""

from __future__ import annotations

import msgspec


class PaperSettings(msgspec.Struct, frozen=True, kw_only=True):
    """``needed_days``: from asking until a paper is needed where no day is named;
    ``expiring_days``: so long before its last day a paper is shown as expiring;
    ``other_papers``: the titles of papers of kind other."""

    needed_days: int
    expiring_days: int
    other_papers: tuple[str, ...]
