"""The features' models, imported for Django alone."""

import billing.authorizations.models
import billing.payers.models
import billing.progress_notes.models
import billing.self_pay.models
import billing.summaries.models
