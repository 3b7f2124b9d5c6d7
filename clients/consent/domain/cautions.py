"""What is to be seen to about how a consent was obtained. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from clients.consent.domain.events import ConsentDocumentation
from clients.consent.domain.terms import ConsentMethod, ConsentSigner
from clients.identity.domain.events import ClientDetails
from clients.identity.domain.names import full_name
from practice.core.confirmation import Doubt
from practice.core.names import same_name
from practice.core.reasons import Reason

SOURCE = "practice policy: consent is explained in the client's own language"


def same_language(one: str, other: str) -> bool:
    """Whether two BCP 47 tags name one language, of whatever region."""
    first, second = (tag.split("-", maxsplit=1)[0].lower() for tag in (one, other))
    return first == second


def language_warning(explained_in: str, language: str, interpreter_name: str) -> Reason | None:
    """A consent explained in a language that is not the client's, without an interpreter.

    Both BCP 47; "es" and "es-MX" are one language.
    """
    if not explained_in or not language or interpreter_name:
        return None
    if same_language(explained_in, language):
        return None
    text = (
        f"The touch consent was explained in '{explained_in}'; the client's language is "
        f"'{language}'. Explain it again with an interpreter who is of age, and name them."
    )
    return Reason(code="consent.language", text=text, source=SOURCE)


def doubts_of_signature(obtained: ConsentDocumentation, details: ClientDetails) -> Iterator[Doubt]:
    """A typed signature that bears another name than that of whoever consents."""
    if obtained.form is not ConsentMethod.TYPED_SIGNATURE:
        return
    by_guardian = obtained.signer is ConsentSigner.GUARDIAN
    client = full_name(details.given_name, details.family_name)
    signer = obtained.guardian_name if by_guardian else client
    if same_name(obtained.typed_name, signer):
        return
    whose = "the guardian who consents" if by_guardian else "the client"
    text = f"The name typed as signature is {obtained.typed_name}; {whose} is {signer}."
    yield Doubt(
        code="another_name_typed", field="typed_name", text=text, confirm="confirmed_typed_name"
    )
