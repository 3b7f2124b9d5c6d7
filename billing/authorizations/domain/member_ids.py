"""Whether an authorization bears the member id of the payer's earlier one, or the number of another
client's. Pure."""

from __future__ import annotations

from practice.core.reasons import Reason


def another_member_id(member_id: str, before: str, before_number: str) -> list[Reason]:
    """A warning where the client's authorization before it, of the same payer, has another id;
    spaces, dashes and case make no other id."""
    if not member_id or not before or _plain(member_id) == _plain(before):
        return []
    text = (
        f"The member id is {member_id}; authorization {before_number} of this payer before it has"
        f" {before}. See which one stands on the client's card, and correct the other."
    )
    return [Reason(code="another_member_id", text=text, source="practice policy")]


def number_of_another(number: str, *, taken: bool) -> list[Reason]:
    """A warning where another client has the same number of the same payer."""
    if not taken:
        return []
    text = (
        f"Another client of the practice has an authorization {number} of this payer too. See "
        "whether it was entered for the right client; one entered in error can be voided."
    )
    return [Reason(code="number_of_another_client", text=text, source="the payer's authorization")]


def _plain(member_id: str) -> str:
    return "".join(sign for sign in member_id.casefold() if sign.isalnum())
