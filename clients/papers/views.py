"""Papers: those of a client, and all that are waited for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.client_views import ClientRecordView
from clients.papers import serializers as forms
from clients.papers import services
from clients.papers.filters import PaperFilter
from clients.papers.models import Paper
from clients.papers.output_serializers import PaperListOutputSerializer, PaperOutputSerializer
from clients.papers.rendering import render_paper, serialize_client_papers, serialize_papers
from clients.papers.selectors import paper_list
from practice.http.base_views import ListView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE
from practice.http.serializers import StrictSerializer
from practice.work.unit_of_work import Outcome


def paper_step(
    summary: str,
    execute: Callable[..., Outcome],
    takes: type[StrictSerializer],
    description: str,
    **more: Any,
) -> Command:
    """Something that happened to a paper is recorded; the answer shows the paper as it is now."""
    return Command(
        summary,
        tag="papers",
        roles=CARE,
        input=takes,
        output=PaperOutputSerializer,
        errors=(404, 409),
        execute=execute,
        render=render_paper,
        description=description,
        **more,
    )


@extend_schema_view(
    get=endpoint(
        "List papers that are or were waited for",
        response=PaperOutputSerializer(many=True),
        description="Of clients at facilities that the caller sees, those needed first come first,"
        " in pages; with `expiring=true` those that end first. Each with whom it was asked of,"
        " since when, and the booked sessions that wait for it. What it was asked for is read by"
        " practitioners and owner alone.",
        tags=["papers"],
    )
)
class PaperOverviewView(ListView):
    """What the practice waits for."""

    roles = {"GET": CARE}
    filterset_class = PaperFilter
    serializer_class = PaperOutputSerializer
    order = ("needed_by", "id")

    def get_queryset(self) -> QuerySet[Paper]:
        """Those of clients whom I see."""
        if self.request.query_params.get("expiring") == "true":
            self.order = ("expires_on", "id")  # Every one of them has a last day.
        return paper_list(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "papers")
        return serialize_papers(self.actor(request).role, rows)


class ClientPaperListView(ClientRecordView):
    """The papers of one client."""

    roles = {"GET": CARE}
    logged_as = "papers"

    @endpoint(
        "List the client's papers",
        response=PaperListOutputSerializer,
        errors=(404,),
        description="Those needed first come first, answered and withdrawn ones too, each with what"
        " happened to it and what waits for it; beside them orders and authorizations that end"
        " soon.",
        tags=["papers"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        return self.read(request, client_id, serialize_client_papers)

    post = paper_step(
        "Ask for a paper",
        services.paper_ask,
        forms.PaperInputSerializer,
        "Of whom, what for, by when it is needed, and `sent` if the request went out"
        " already. It clears nothing, now or when it"
        " is answered: a clearance is an order of its own. `holds_up` names the booked sessions of"
        " which something is closed for want of it, as they were judged.",
        status=201,
    )


class PaperSendingView(ClientRecordView):
    """The request went out."""

    post = paper_step(
        "Record that a paper's request was sent",
        services.paper_send,
        forms.PaperSendInputSerializer,
        "How and when. Sent again, it is one more step. 409 for a paper that was"
        " answered or withdrawn.",
    )


class PaperReminderView(ClientRecordView):
    """Whoever was asked was reminded."""

    post = paper_step(
        "Record a reminder of a paper",
        services.paper_remind,
        forms.PaperSendInputSerializer,
        "How and when; each reminder is kept. 409 for a paper that was answered or withdrawn.",
        example={"channel": "phone", "words": "left a message with the ward"},
    )


class PaperAnswerView(ClientRecordView):
    """The answer came."""

    post = paper_step(
        "Record the answer to a paper",
        services.paper_answer,
        forms.PaperAnswerInputSerializer,
        "Given, given in part, or refused; by whom, when, and until when it holds. It"
        " opens nothing by itself: `order_id` names the order that was filed from it, and without"
        " one a warning says so. A clearance that is refused narrows at once: without `order_id`"
        " it is filed as a restriction of what was asked for, self-directed at most, until a"
        " practitioner lifts it.",
    )


class PaperOrderView(ClientRecordView):
    """The order that was filed from an answer."""

    post = paper_step(
        "Link the order that was filed from a paper's answer",
        services.paper_link_order,
        forms.PaperOrderInputSerializer,
        "One answer may lead to several orders. 400 for an order of another kind, 409"
        " while no answer is on record; a repeat changes nothing.",
    )


class PaperWithdrawalView(ClientRecordView):
    """The paper is not waited for any more."""

    post = paper_step(
        "Stop waiting for a paper",
        services.paper_withdraw,
        forms.PaperEndInputSerializer,
        "With its reason, e.g. that the client changed surgeons. It leaves what is"
        " waited for; nothing of the client's orders changes. 409 for a paper that was answered"
        " or withdrawn before.",
    )


class PaperCorrectionView(ClientRecordView):
    """What was asked of whom is put right."""

    post = paper_step(
        "Correct what was asked of whom",
        services.paper_correct,
        forms.PaperCorrectionInputSerializer,
        "What is left out stays; the record keeps what stood before, with the reason."
        " 409 where nothing differs, and for another kind while orders are linked.",
    )


class PaperStepInErrorView(ClientRecordView):
    """Something recorded of a paper did not happen so."""

    post = paper_step(
        "Take back what was recorded of a paper",
        services.paper_step_take_back,
        forms.PaperStepInErrorInputSerializer,
        "A sending, a reminder, an answer, a link or the withdrawal, by the id of its"
        " step and with the reason. The paper waits again where that had ended it. An order that"
        " was filed from the answer stands: it is lifted on its own.",
    )
