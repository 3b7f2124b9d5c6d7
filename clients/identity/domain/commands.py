"""What the clients app is asked to do, as plain values."""

from __future__ import annotations

from typing import Any

import msgspec

# Identity


class ChangeDetails(msgspec.Struct, frozen=True, kw_only=True):
    """Some of the client's details, by name; what is not named stays. ``was_read``: the caller
    named the version of the record that they read."""

    changes: dict[str, Any]
    was_read: bool = False
