"""Commands of the clients floor, one function each, inside the runner's transaction."""

from clients.services.consent import consent_decline, consent_record, consent_withdraw
from clients.services.health import history_report, history_review
from clients.services.identity import client_change, client_register
from clients.services.orders import order_file, order_lift
from clients.services.preference import exception_agree, preference_state

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
