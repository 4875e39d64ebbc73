"""The addresses of the whole ledger."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView, LogoutView
from django.urls import include, path

from nursery import views
from nursery.welcome import welcome
from sales.views.public_list import robots, sitemap

urlpatterns = [
    path("", views.today, name="today"),
    path("settings/", views.settings, name="settings"),
    path("help/", views.help, name="help"),
    path("first-season/", views.first_season_page, name="first-season"),
    path(
        "first-season/put-away/",
        views.put_first_season,
        {"shown": False},
        name="first-season-put-away",
    ),
    path("first-season/back/", views.put_first_season, {"shown": True}, name="first-season-back"),
    path("welcome/", welcome, name="welcome"),
    path("accounts/login/", LoginView.as_view(), name="login"),
    path("accounts/logout/", login_not_required(LogoutView.as_view()), name="logout"),
    path("robots.txt", robots, name="robots"),
    path("sitemap.xml", sitemap, name="sitemap"),
    path("", include("inventory.urls")),
    path("", include("sales.urls")),
]
