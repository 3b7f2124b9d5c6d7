"""Addresses below /api/v1/."""

from django.urls import path

from practice.policy import views

urlpatterns = [
    path("practice", views.PracticeView.as_view(), name="practice"),
    path("settings", views.SettingListView.as_view(), name="setting-list"),
    path("settings/<uuid:setting_id>", views.SettingDetailView.as_view(), name="setting-detail"),
    path(
        "settings/<slug:group>/revisions/<int:revision>",
        views.SettingRevisionView.as_view(),
        name="setting-revision",
    ),
    path("setting-changes", views.SettingChangeListView.as_view(), name="setting-change-list"),
]
