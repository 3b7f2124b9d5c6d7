"""The page of sessions that an absence or a closure meets."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from rest_framework.request import Request

from practice.clock import clock
from practice.http.base_views import ListView
from practice.http.roles import CARE
from practice.people_and_places.models.exceptions import Absence, Closure
from sessions.absences.rendering import serialize_met
from sessions.absences.selectors.met import met_and_seen, no_sessions
from sessions.absences.selectors.stand_ins import with_stand_ins
from sessions.calendar.models import Session


class MetSessionsView(ListView):
    """Sessions that are left, with who may take each over."""

    roles = {"GET": CARE}
    order = ("starts_at", "id")

    def off(self, request: Request) -> Absence | Closure:
        """What the address is below of. Raises Rejected 404."""
        raise NotImplementedError

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
