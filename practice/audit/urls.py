"""Addresses below /api/v1/."""

from django.urls import path

from practice.audit.views import access_log, erasure, jobs, log

urlpatterns = [
    path("access-log", access_log.AccessLogView.as_view(), name="access-log"),
    path("clients/<uuid:client_id>/erasure", erasure.ErasureView.as_view(), name="erasure"),
    path(
        "clients/<uuid:client_id>/erasure/approval",
        erasure.ErasureApprovalView.as_view(),
        name="erasure-approval",
    ),
    path("jobs", jobs.JobListView.as_view(), name="jobs"),
    path("jobs/putting-back", jobs.JobsPutBackView.as_view(), name="jobs-put-back"),
    path("log/verification", log.LogVerificationView.as_view(), name="log-verification"),
    path("log/comparison", log.LogComparisonView.as_view(), name="log-comparison"),
    path("log/comparisons", log.LogComparisonsView.as_view(), name="log-comparison-list"),
    path(
        "log/comparisons/<uuid:comparison_id>",
        log.LogComparisonTaskView.as_view(),
        name="log-comparison-detail",
    ),
]
