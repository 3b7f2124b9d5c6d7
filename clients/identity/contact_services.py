"""Emergency contacts and unsuitable times, one by one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from clients.identity.domain.decisions import change_entries
from clients.identity.domain.entries import Entry, with_added, with_changed, without
from clients.identity.domain.state import IDENTITY
from clients.identity.selectors import client_get
from practice.core.decisions import Context
from practice.work.unit_of_work import Outcome, UnitOfWork

Change = Callable[[tuple[Entry, ...], Context], tuple[Entry, ...]]


@dataclass(frozen=True)
class EntryCommands:
    """The commands on one list of a client's details; ``field`` names it.

    Each is decided on the list as it stands under the client's lock, so that what another device
    added meanwhile stays.
    """

    field: str

    def add(self, uow: UnitOfWork, *, client_id: UUID, command: Mapping[str, Any]) -> Outcome:
        """One more, at the end."""
        return self._change(
            uow, client_id, lambda rows, ctx: with_added(self.field, rows, command, ctx.new_id)
        )

    def change(
        self,
        uow: UnitOfWork,
        *,
        client_id: UUID,
        entry_id: UUID,
        command: Mapping[str, Any],
        if_match: int | None = None,
    ) -> Outcome:
        """Some fields of one of them; what is left out stays."""
        return self._change(
            uow,
            client_id,
            lambda rows, _: with_changed(self.field, rows, entry_id, command),
            if_match,
        )

    def remove(
        self, uow: UnitOfWork, *, client_id: UUID, entry_id: UUID, if_match: int | None = None
    ) -> Outcome:
        """Take one of them away."""
        return self._change(uow, client_id, lambda rows, _: without(rows, entry_id), if_match)

    def _change(
        self, uow: UnitOfWork, client_id: UUID, change: Change, if_match: int | None = None
    ) -> Outcome:
        uow.lock(client_id)
        client_get(uow.actor, client_id)
        return uow.execute(
            client_id,
            (IDENTITY,),
            lambda states, ctx: change_entries(
                states[IDENTITY], self.field, lambda rows: change(rows, ctx), ctx
            ),
            if_match=if_match,
        )


EMERGENCY_CONTACTS = EntryCommands("emergency_contacts")
UNSUITABLE_TIMES = EntryCommands("unsuitable_times")
