"""A few sentences over a session's permissions: the gravest first. Pure.

"Planned" is what holds if the day's arrival questions bring nothing new, as in the fields.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from clients.permissions.domain.results import MODE_WIDTH, SessionPermissions, StretchPermission
from practice.core.reasons import Reason
from practice.core.terms import Mode

SPOKEN = {
    Mode.NOT_TODAY: "not today",
    Mode.SELF_DIRECTED: "self-directed",
    Mode.HANDS_ON: "hands-on",
}


def headline(
    evaluated: SessionPermissions,
    what: str,
    spoken_of: Sequence[StretchPermission],
    unloaded: Sequence[str] = (),
) -> str:
    """What must not be overlooked: whom to refer to, how much is closed, where range is limited.

    ``spoken_of`` are the verdicts on ``what``, the programme or the catalogue; ``unloaded`` the
    limbs that may carry no load.
    """
    sentences = list(evaluated.refer_to)
    sentences += [one.text for one in evaluated.refusals]
    sentences.append(f"Of {what}: {counted(one.mode for one in spoken_of)}.")
    if evaluated.provisional:
        planned = counted(one.planned for one in spoken_of)
        sentences.append(f"Planned: {planned}.")
    limited = sum(bool(one.limits) for one in spoken_of if may_be_done(one))
    if limited:
        sentences.append(f"Range is limited in {limited}.")
    if unloaded:
        sentences.append(f"No load: {', '.join(unloaded).replace('_', ' ')}.")
    return " ".join(sentences)


def headline_of_extent(evaluated: SessionPermissions, refusals: Iterable[Reason]) -> str:
    """The same to whom no stretch is named: how much is by hand, and why nothing is booked."""
    sentences = [one.text for one in refusals]
    sentences.append(f"By hand: {evaluated.extent}.")
    if evaluated.provisional:
        planned = evaluated.planned_extent
        sentences.append(f"Planned: {planned}.")
    return " ".join(sentences)


def counted(modes: Iterable[Mode]) -> str:
    """How many there are of each mode, the narrowest first; "nothing" where there are none."""
    found = Counter(modes)
    said = [f"{found[mode]} {SPOKEN[mode]}" for mode in sorted(found, key=MODE_WIDTH.__getitem__)]
    return ", ".join(said) or "nothing"


def may_be_done(one: StretchPermission) -> bool:
    """Whether it may be done at all, now or if the day brings nothing new."""
    return {one.mode, one.planned} != {Mode.NOT_TODAY}
