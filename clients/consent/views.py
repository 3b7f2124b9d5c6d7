"""Touch consent: read, given, declined, withdrawn, confirmed."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.consent.booked_sessions import (
    ConsentChangeOutputSerializer,
    render_consent_change,
)
from clients.consent.rendering import serialize_consent
from clients.consent.serializers import (
    ConsentConfirmationInputSerializer,
    ConsentEndInputSerializer,
    ConsentInputSerializer,
    ConsentOutputSerializer,
)
from clients.consent.services import (
    consent_confirm,
    consent_decline,
    consent_record,
    consent_withdraw,
)
from clients.identity.client_views import ClientRecordView
from practice.http.commands import Command
from practice.http.openapi import endpoint
from practice.http.roles import CARE


class TouchConsentView(ClientRecordView):
    """What may be touched, by which techniques, by whom and until when."""

    roles = {"GET": CARE}
    logged_as = "touch consent"

    @endpoint(
        "Read the touch consent",
        response=ConsentOutputSerializer,
        errors=(404,),
        description=(
            "Whether it is in force, for which regions, techniques and people, until when; "
            "every grant and withdrawal on record with what it did, and `warnings` on what "
            "does not count and why."
        ),
        tags=["consent"],
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """As it stands."""
        return self.read(request, client_id, serialize_consent)

    post = Command(
        "Record a touch consent",
        tag="consent",
        roles=CARE,
        input=ConsentInputSerializer,
        output=ConsentChangeOutputSerializer,
        status=201,
        errors=(404, 409),
        if_match="optional",
        execute=consent_record,
        render=render_consent_change,
        description="The consent given last stands. It does not undo a withdrawal said after it"
        " was given; `warnings` and `grants` say what stands, what does not, and why. Below the"
        " age of medical consent a guardian consents. A typed signature with another name than the"
        " client's, or than that of the guardian who consents, asks to be confirmed first (400"
        " `another_name_typed`, then `confirmed_typed_name`) and stays in `warnings`. `sessions`"
        " says what became of each booked one: nothing turns hands-on by itself, `may_be` is what"
        " a new plan would give.",
    )


class ConsentWithdrawalView(ClientRecordView):
    """The client withdraws the consent."""

    post = Command(
        "Withdraw the touch consent",
        tag="consent",
        roles=CARE,
        input=ConsentEndInputSerializer,
        output=ConsentChangeOutputSerializer,
        errors=(404,),
        execute=consent_withdraw,
        render=render_consent_change,
        description="All of it, or a part. Never refused for a stale version. It takes effect at"
        " its entry at the latest, in every consent on record and whatever time it was said; a"
        " consent given in between is suspended until it is confirmed. Future sessions are"
        " evaluated again.",
    )


class ConsentRefusalView(ClientRecordView):
    """The client was asked and said no."""

    post = Command(
        "Record that the client declined touch",
        tag="consent",
        roles=CARE,
        input=ConsentEndInputSerializer,
        example={"reason": "Would rather not be touched."},
        output=ConsentChangeOutputSerializer,
        errors=(404,),
        execute=consent_decline,
        render=render_consent_change,
        description=(
            "It takes effect as a withdrawal does: at once, for all of it or the part that "
            "is named, never refused for a stale version. Sessions to come are evaluated "
            "again."
        ),
    )


class ConsentConfirmationView(ClientRecordView):
    """The client was asked about a suspended consent."""

    post = Command(
        "Record that the client, when asked, says a suspended consent stands",
        tag="consent",
        roles=CARE,
        input=ConsentConfirmationInputSerializer,
        output=ConsentChangeOutputSerializer,
        errors=(404, 409),
        execute=consent_confirm,
        render=render_consent_change,
        description="For a consent that was given after a withdrawal was said and entered before"
        " the withdrawal was. A consent withdrawn after it was given is not restored: record a"
        " new one (409 `consent_not_suspended`).",
    )
