"""Terms and sites in words, for sentences of the history of a record. Pure."""

from __future__ import annotations

from clients.health.domain.content import BodySite
from clients.health.domain.sites import technique_text
from practice.core.terms import Technique


def words_text(words: object) -> str:
    """Words of a closed list, for people: "shoulder, upper back"."""
    return ", ".join(_said(word) for word in words)  # type: ignore[attr-defined]


def _said(word: object) -> str:
    return technique_text(word) if isinstance(word, Technique) else str(word).replace("_", " ")


def sites_text(sites: tuple[BodySite, ...]) -> str:
    """Sites for people: "left shoulder, abdomen"."""
    return words_text(
        site.region if site.side == "both" else f"{site.side} {site.region}" for site in sites
    )
