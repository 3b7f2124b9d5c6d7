"""What of the 45 tasks waits, and what rubs: the two lists that the tests and the table show."""

from __future__ import annotations

from typing import Final

COUNT: Final = 45

MISSING: Final[dict[int, str]] = {}
"""Tasks that cannot be played yet: what they ask for is not there."""

FRICTION: Final[dict[int, str]] = {}
"""Tasks that can be done, but not in two calls; each says what rubs."""
