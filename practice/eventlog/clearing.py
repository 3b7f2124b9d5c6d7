"""Empties everything of a client that is not the log."""

from __future__ import annotations

from uuid import UUID

from django.apps import apps

from practice.domain.decisions import parts
from practice.due.models import DueItem
from practice.eventlog.models import IdempotencyRecord
from practice.eventlog.projecting import model_of
from practice.keys.keystore import keystore


def clear_tables(client_id: UUID) -> None:
    """Empty the read tables and working papers of a client; due work of hers is withdrawn,
    and answers kept for repeats are dropped."""
    IdempotencyRecord.objects.filter(key_id=keystore.of(client_id).id).update(answer=None)
    for projector in parts.projectors.values():
        model_of(projector)._default_manager.filter(client_id=client_id).delete()
    for label in parts.papers:
        apps.get_model(label)._default_manager.filter(client_id=client_id).delete()
    DueItem.objects.filter(subject=client_id, status=DueItem.Status.WAITING).update(
        status=DueItem.Status.WITHDRAWN
    )
