"""What absences and closures have alike: the one of the address, the sessions that it meets, and
moving those in one act."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db.models import QuerySet
from rest_framework.request import Request
from rest_framework.response import Response

from practice.clock import clock
from practice.http.base_views import ListView
from practice.http.commands import Command, CommandView
from practice.http.roles import CARE
from practice.people_and_places.models.exceptions import Absence, Closure
from sessions.absences.rendering import render_moves, serialize_met, serialize_off_detail
from sessions.absences.selectors.met import met_and_seen, no_sessions, off_of_ids
from sessions.absences.selectors.stand_ins import with_stand_ins
from sessions.absences.serializers.met import MovesInputSerializer, MovesOutputSerializer
from sessions.absences.services.moves import off_move
from sessions.calendar.models import Session


class OffDetailView(CommandView):
    """One absence or closure."""

    names_no_client = True

    def read_off(self, request: Request) -> Response:
        """The one of the address, with its revision as ETag. Raises Rejected 404."""
        actor = self.actor(request)
        row = off_of_ids(actor, **self.kwargs)
        shown = serialize_off_detail(actor, row, clock.now())
        return self.read_response(shown, version=row.revision)


class MetSessionsView(ListView):
    """Sessions that are left, with who may take each over."""

    roles = {"GET": CARE}
    order = ("starts_at", "id")

    def off(self, request: Request) -> Absence | Closure:
        """What the address is below of. Raises Rejected 404."""
        return off_of_ids(self.actor(request), **self.kwargs)

    def get_queryset(self) -> QuerySet[Session]:
        """Those still to come that the caller sees."""
        if getattr(self, "swagger_fake_view", False):
            return no_sessions()
        off = self.off(self.request)
        return met_and_seen(self.actor(self.request), off, clock.now())

    def serialize_rows(self, request: Request, rows: list[Session]) -> Any:
        """With names and phones; everyone on the page is read (ruling 62)."""
        self.log_reads(request, (row.client_id for row in rows), "sessions to be moved")
        actor = self.actor(request)
        found = with_stand_ins(actor, self.off(request), rows, clock.now())
        return serialize_met(actor.role, found)


def moving(of: str, where_to: str, example: Mapping[str, Any] | None = None) -> Command:
    """The command that moves several of its sessions in one act; ``where_to``: what each may be
    moved to, as the description begins."""
    return Command(
        f"Move sessions of {of}",
        tag="absences",
        roles=CARE,
        input=MovesInputSerializer,
        example=example,
        output=MovesOutputSerializer,
        errors=(404, 409),
        idempotency="required",
        execute=off_move,
        render=render_moves,
        description=f"{where_to}, as a move of it alone would be, with its own outcome. With "
        "`all_or_nothing` none is moved where one cannot be: 409 `moves_refused`; 409 "
        "`none_moved` where none can be. What is not moved stays on the call list. A session that "
        "somebody moved or cancelled meanwhile is refused as `not_met`.",
    )
