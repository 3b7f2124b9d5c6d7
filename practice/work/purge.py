"""Empties everything of a client that is not the log."""

from __future__ import annotations

from uuid import UUID

from django.apps import apps

from practice.core.appspec import installed
from practice.work.idempotency import drop_answers
from practice.work.projection_runner import model_of


def purge_client(client_id: UUID) -> None:
    """Drop the answers kept for repeats, empty the read tables and working documents of a client,
    then clear what was registered as erasable."""
    drop_answers(client_id)
    for projection in installed.projections.values():
        model_of(projection)._default_manager.filter(client_id=client_id).delete()
    for label in installed.working_documents:
        apps.get_model(label)._default_manager.filter(client_id=client_id).delete()
    for clear in installed.erasables:
        clear(client_id)
