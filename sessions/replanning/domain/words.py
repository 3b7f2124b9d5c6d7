"""What planning several sessions anew did, in a sentence. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from sessions.replanning.domain.replanning import ReplanResult


def told(results: Sequence[ReplanResult], left: int, *, preview: bool) -> str:
    """How many are as planned, wider, or as narrow as before; that nothing was done is said."""
    if not results:
        return "No session to come is narrowed there: nothing was changed."
    count = Counter(results)
    done = len(results) - count[ReplanResult.STAYS]
    would = "would be" if preview else "are"
    if not done:
        text = f"None of the {len(results)} may be wider than it is: nothing was changed."
    else:
        text = (
            f"Of {len(results)} sessions {count[ReplanResult.AS_PLANNED]} {would} as they were"
            f" planned at first, {count[ReplanResult.WIDER]} {would} wider and flagged for the"
            f" rest, {count[ReplanResult.STAYS]} stay as they are."
        )
    if preview:
        text += " This is a preview: nothing was changed."
    return f"{text} {left} more are left." if left else text
