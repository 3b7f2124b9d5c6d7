"""What start-up made is left out of the collection of cycles."""

from __future__ import annotations

import gc


def leave_start_up_alone() -> None:
    """Call once all is imported. Modules and classes live as long as the process; to walk through
    all of them again and again took up to a third of the time of a long fold. Collecting is on
    from here on."""
    gc.collect()
    gc.freeze()
    gc.enable()
