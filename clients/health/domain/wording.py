"""Terms and sites in words, for sentences of the history of a record. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from clients.health.domain.content import BloodCount, BodySite, Condition, HistoryContent
from clients.health.domain.sites import technique_text
from clients.health.domain.terms import BloodCountKind, WordsEffect
from clients.identity.domain.partial_dates import date_text
from practice.core.terms import Technique

COUNT_TEXTS = {
    BloodCountKind.NEUTROPHILS: "neutrophils {} per microliter",
    BloodCountKind.PLATELETS: "platelets {} x 10^9/L",
    BloodCountKind.HEMOGLOBIN: "hemoglobin {} g/dL",
}


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


def history_text(content: HistoryContent) -> str:
    """What a history holds, entry by entry: where, since when, with which effect and counts."""
    found = [
        *(
            _entry(_said(one.kind), () if one.side == "both" else (one.side,))
            for one in content.operations
        ),
        *(_entry("radiation", (sites_text(one.sites),)) for one in content.radiations),
        *(_condition(one) for one in content.conditions),
        *(count_text(one) for one in content.blood_counts),
    ]
    return "; ".join(found) or "nothing"


def count_text(count: BloodCount) -> str:
    """A count with its unit and the day of its drawing."""
    number = COUNT_TEXTS[count.kind].format(f"{count.value:g}")
    return f"{number} (drawn {count.drawn_on.isoformat()})"


def _condition(condition: Condition) -> str:
    about = [sites_text(condition.sites)] if condition.sites else []
    if condition.suspected:
        about.append("suspected")
    if condition.since is not None:
        about.append(f"since {date_text(condition.since, condition.since_precision)}")
    about += _until("until", condition.until)
    about += _until("needle in from", condition.accessed_from)
    about += _until("needle in until", condition.accessed_until)
    text = f' "{condition.text}"' if condition.text else ""
    return _entry(_said(condition.kind) + text, about) + _effect(condition)


def _until(name: str, on: date | None) -> list[str]:
    return [] if on is None else [f"{name} {on.isoformat()}"]


def _effect(condition: Condition) -> str:
    said = condition.reviewed
    if said is None:
        return ""
    what = {
        WordsEffect.NO_EFFECT: "has no effect",
        WordsEffect.CAUTION: "is a caution",
        WordsEffect.CLOSES: f"closes {words_text(said.closes)}",
    }[said.effect]
    return f", {what}: {said.reason}"


def _entry(name: str, about: Iterable[str]) -> str:
    text = ", ".join(about)
    return f"{name} ({text})" if text else name
