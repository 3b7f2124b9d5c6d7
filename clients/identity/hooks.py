"""What features above say to a client's details, at registering and to a change."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from clients.identity.domain.events import ClientDetailsChanged, ClientRegistered
from practice.core.appspec import ExtensionPoint

DETAILS_CHANGED = ExtensionPoint[Callable[[UUID, ClientDetailsChanged], None]]("details changed")
"""``tell(client_id, event)``: raises Rejected for a change that the staff may not enter, and keeps
in step what rests on the details."""

REGISTERED = ExtensionPoint[Callable[[UUID, ClientRegistered], None]]("registered")
"""``tell(client_id, event)``: the same of a client who is registered."""
