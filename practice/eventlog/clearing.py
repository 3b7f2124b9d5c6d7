"""Empties everything of a client that is not the log."""

from __future__ import annotations

from uuid import UUID

from django.apps import apps

from practice.domain.decisions import parts
from practice.eventlog.idempotency import drop_answers
from practice.eventlog.projecting import model_of


def clear_tables(client_id: UUID) -> None:
    """Drop the answers kept for repeats, empty the read tables and working papers of a client,
    then clear what was registered as erasable."""
    drop_answers(client_id)
    for projector in parts.projectors.values():
        model_of(projector)._default_manager.filter(client_id=client_id).delete()
    for label in parts.papers:
        apps.get_model(label)._default_manager.filter(client_id=client_id).delete()
    for clear in parts.erasables:
        clear(client_id)
