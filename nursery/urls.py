"""The addresses of the whole ledger."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LogoutView
from django.urls import include, path

from nursery import calendar_page, views
from nursery.guarding.headers import forgotten_by_the_browser
from nursery.people import account_pages, doors_page
from nursery.people import pages as people
from nursery.people.door import Door, login_code
from nursery.watching.health_page import health
from nursery.watching.pages import deed_list
from nursery.welcome import welcome
from sales.views.public_list import robots, sitemap

handler400 = "nursery.watching.errors.bad_request"
handler403 = "nursery.watching.errors.not_allowed"
handler404 = "nursery.watching.errors.not_here"
handler500 = "nursery.watching.errors.broken"

urlpatterns = [
    path("", views.today, name="today"),
    path("settings/", views.settings, name="settings"),
    path("settings/people/", people.helper_list, name="helper-list"),
    path("settings/people/add/", people.helper_add, name="helper-add"),
    path("settings/people/<int:pk>/link/", people.helper_link, name="helper-link"),
    path("settings/people/<int:pk>/role/<slug:role>/", people.helper_role, name="helper-role"),
    path("settings/people/<int:pk>/out/", people.helper_out, name="helper-out"),
    path("settings/people/<int:pk>/back/", people.helper_back, name="helper-back"),
    path("join/<slug:key>/<slug:secret>/", people.helper_join, name="helper-join"),
    path("calendar/", calendar_page.calendar, name="calendar"),
    path("calendar/days.ics", calendar_page.calendar_file, name="calendar-file"),
    path("calendar/of/<str:token>.ics", calendar_page.calendar_read, name="calendar-read"),
    path("calendar/link/", calendar_page.calendar_link, name="calendar-link"),
    path("calendar/link/<int:pk>/renew/", calendar_page.calendar_renew, name="calendar-renew"),
    path("calendar/link/<int:pk>/stop/", calendar_page.calendar_stop, name="calendar-stop"),
    path("calendar/link/<int:pk>/back/", calendar_page.calendar_back, name="calendar-back"),
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
    path("accounts/login/", Door.as_view(), name="login"),
    path("accounts/login/code/", login_code, name="login-code"),
    path(
        "accounts/logout/",
        login_not_required(forgotten_by_the_browser(LogoutView.as_view())),
        name="logout",
    ),
    path("your-account/", account_pages.your_account, name="your-account"),
    path("your-account/password/", account_pages.password, name="password"),
    path("your-account/second-step/", account_pages.set_up_step, name="second-step"),
    path("your-account/second-step/codes/", account_pages.renew_codes, name="recovery-codes"),
    path("your-account/second-step/off/", account_pages.switch_step_off, name="second-step-off"),
    path("your-account/log-ins/end/", account_pages.end_other_logins, name="logins-end"),
    path("your-account/log-ins/<uuid:number>/end/", account_pages.end_login, name="login-end"),
    path("settings/doors/", doors_page.doors, name="doors"),
    path("settings/doors/<uuid:number>/end/", doors_page.end_anyones_login, name="doors-end"),
    path("settings/doors/<int:pk>/let-in/", doors_page.let_in_at_once, name="doors-let-in"),
    path("settings/doors/ask/", doors_page.ask_everybody, {"asked": True}, name="step-asked"),
    path("settings/doors/leave/", doors_page.ask_everybody, {"asked": False}, name="step-left"),
    path("health/", health, name="health"),
    path("settings/who-did-what/", deed_list, name="deed-list"),
    path("robots.txt", robots, name="robots"),
    path("sitemap.xml", sitemap, name="sitemap"),
    path("", include("inventory.urls")),
    path("", include("sales.urls")),
]
