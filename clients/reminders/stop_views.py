"""The page behind the link that ends mails: no sign-in, and it shows nothing."""

from __future__ import annotations

import html

from django.http import HttpResponse
from django.utils.translation import gettext, override
from drf_spectacular.types import OpenApiTypes
from rest_framework.parsers import BaseParser, FormParser, MultiPartParser
from rest_framework.request import Request

from clients.reminders.services.notices import stop_by_link
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.renderers import HtmlRenderer
from practice.http.roles import ANYONE

LANGUAGES = ("en", "es")
"""Who opens the link is not known, so that the page speaks them all."""


def _page(*words: str) -> str:
    body = "\n".join(words)
    return (
        "<!doctype html>\n<html lang='en'><head><meta charset='utf-8'><title>&nbsp;</title>"
        "<meta name='robots' content='noindex'></head>\n<body>\n"
        f"{body}\n</body></html>\n"
    )


def _said(words: str) -> list[str]:
    found = []
    for language in LANGUAGES:
        with override(language):
            found.append(f"<p lang='{language}'>{html.escape(gettext(words))}</p>")
    return found


def _button() -> str:
    with override("en"):
        first = gettext("End these messages")
    with override("es"):
        second = gettext("End these messages")
    return (
        f"<form method='post'><button type='submit'>{html.escape(f'{first} · {second}')}"
        "</button></form>"
    )


class NoMoreMessagesView(ApiView):
    """Programs that look at links in advance send a GET: it does nothing. The button's POST, and
    that of a mail program (RFC 8058), ends the mails. Every link is answered alike, so that
    nobody learns which are real."""

    roles = {"GET": ANYONE, "POST": ANYONE}
    authentication_classes = ()
    renderer_classes = (HtmlRenderer,)
    parser_classes: tuple[type[BaseParser], ...] = (FormParser, MultiPartParser)

    @endpoint(
        "See the page that ends messages",
        response={(200, "text/html"): OpenApiTypes.STR},
        description="The link of a mail. The page has a button and names nobody; it is the same for"
        " every link, and looking at it ends nothing.",
        tags=["reminders"],
        public=True,
    )
    def get(self, request: Request, token: str) -> HttpResponse:
        """The button."""
        return HttpResponse(_page(*_said("No more messages"), _button()))

    @endpoint(
        "End messages by the link of a mail",
        response={(200, "text/html"): OpenApiTypes.STR},
        description="By the button, or by a mail program with `List-Unsubscribe=One-Click`"
        " (RFC 8058): the client whose mail it was gets no more, of any kind. The answer is the"
        " same for every link.",
        tags=["reminders"],
        public=True,
    )
    def post(self, request: Request, token: str) -> HttpResponse:
        """End them."""
        stop_by_link(token)
        return HttpResponse(_page(*_said("Noted. You will get no more of these messages.")))
