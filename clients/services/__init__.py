"""Commands of the clients floor, one function each, inside the runner's transaction."""

from clients.services.facts import (
    consent_decline,
    consent_record,
    consent_withdraw,
    exception_agree,
    history_report,
    history_review,
    order_file,
    order_lift,
    preference_state,
)
from clients.services.identity import client_change, client_register

__all__ = [
    "client_change",
    "client_register",
    "consent_decline",
    "consent_record",
    "consent_withdraw",
    "exception_agree",
    "history_report",
    "history_review",
    "order_file",
    "order_lift",
    "preference_state",
]
