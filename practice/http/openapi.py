"""How an operation stands in the OpenAPI description: one short call for each method."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final, Literal, TypedDict, Unpack

from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import is_serializer
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework.serializers import Serializer

from practice.http.problems import problems
from practice.http.roles import allowed_roles, described_roles

Requirement = Literal["optional", "required"]
_IF_MATCH: Final = 'The version you have read, quoted as in the ETag: `"3"`.'
_IF_MATCH_OPTIONAL: Final = (
    f"{_IF_MATCH} Optional here: with it a change of what has moved on is refused (412); without"
    " it the last write wins, and the history of changes keeps both."
)
_KEY: Final = "A key of your own; the same key with the same request gives the same answer."


def _header(name: str, description: str, *, required: bool) -> OpenApiParameter:
    return OpenApiParameter(
        name, OpenApiTypes.STR, "header", required=required, description=description
    )


class Description(TypedDict, total=False):
    """What may be said of one method beside its summary.

    ``request`` and ``response`` are serializers (``response=X(many=True)`` for a list, or
    ``{(status, media type): ...}`` for what is no JSON), ``status`` that of success, ``errors``
    further problem statuses, ``query`` the view's ``query_form``; ``public``: without signing in.
    ``example`` is a worked body; without it that of the request's serializer stands.
    """

    request: Any
    example: Mapping[str, Any] | None
    response: Any
    status: int
    errors: tuple[int, ...]
    if_match: Requirement | None
    idempotency: Requirement | None
    query: Any
    description: str
    tags: list[str] | None
    public: bool


def endpoint(summary: str, **said: Unpack[Description]) -> Callable[[Any], Any]:
    """Decorator of one method: its schema in the OpenAPI description."""
    request, response = said.get("request"), said.get("response")
    query = said.get("query")
    parameters: list[Any] = [query] if query is not None else []
    more = set(said.get("errors", ()))
    if if_match := said.get("if_match"):
        required = if_match == "required"
        text = _IF_MATCH if required else _IF_MATCH_OPTIONAL
        parameters.append(_header("If-Match", text, required=required))
        more |= {412, 428} if required else {412}
    if idempotency := said.get("idempotency"):
        parameters.append(_header("Idempotency-Key", _KEY, required=idempotency == "required"))
        more |= {409, 422}
    if request is not None or idempotency:
        more.add(415)
    succeeds = response if isinstance(response, dict) else {said.get("status", 200): response}
    return extend_schema(
        summary=summary,
        description=said.get("description") or None,
        request=request,
        responses={**succeeds, **problems(*more)},
        parameters=parameters,
        tags=said.get("tags"),
        examples=_examples(request, said.get("example")),
        auth=[] if said.get("public") else None,
    )


def _examples(request: Any, given: Mapping[str, Any] | None) -> list[OpenApiExample]:
    """The worked body of a method: what it gives, else what its serializer declares."""
    kind = type(request) if isinstance(request, Serializer) else request
    value = given if given is not None else getattr(kind, "example", None)
    return [] if value is None else [OpenApiExample("Example", value, request_only=True)]


class LocalTime(OpenApiSerializerFieldExtension):  # type: ignore[no-untyped-call]
    """A time of day on a facility's clock: `time` of JSON Schema would ask for an offset."""

    target_class = "rest_framework.fields.TimeField"
    match_subclasses = True

    def map_serializer_field(self, auto_schema: AutoSchema, direction: str) -> dict[str, Any]:
        """Hours and minutes, seconds where they are given."""
        return {"type": "string", "pattern": r"^\d{2}:\d{2}(:\d{2}(\.\d{1,6})?)?$"}


class RecordSchema(AutoSchema):
    """Tells lists by their answer of success; the library would look at the first status."""

    def get_operation(self, *place: Any) -> dict[str, Any] | None:
        """What is said of the operation, and who may use it, as the view declares it."""
        found: dict[str, Any] | None = super().get_operation(*place)
        if found is not None:
            who = described_roles(allowed_roles(self.view, self.method))
            found["description"] = "\n\n".join(filter(None, (found.get("description"), who)))
        return found

    def _get_request_for_media_type(self, serializer: Any, direction: Any = "request") -> Any:
        """A PATCH says what it requires, as any other method; the library leaves out all of it.

        Only a form that is declared partial requires nothing.
        """
        given = serializer() if isinstance(serializer, type) else serializer
        if self.method == "PATCH" and is_serializer(given):
            component = self.resolve_serializer(given, direction)
            return component.ref, bool(component.schema.get("required"))
        return super()._get_request_for_media_type(  # type: ignore[no-untyped-call]
            serializer, direction
        )

    def _get_response_bodies(self, direction: Any = "response") -> dict[str, Any]:
        """A read that is not streamed has a tag, and is 304 to who sends it."""
        found = super()._get_response_bodies(direction)
        shown = found.get("200", {}).get("content", {})
        if self.method == "GET" and shown and "text/csv" not in shown:
            found["304"] = {"description": "`If-None-Match` names what would be shown."}
        return dict(sorted(found.items()))

    def _is_list_view(self, serializer: Any = None) -> bool:
        given = self.get_response_serializers() if serializer is None else serializer
        if isinstance(given, dict):
            given = next((s for code, s in given.items() if str(code).startswith("2")), None)
        return bool(super()._is_list_view(given))
