"""The door: name and password, then a code where the account has a second step.

Who gave only the password is not logged in. The session notes who may go on to the code, and
every page sends them back to the door as it does a stranger, so there is nothing to forbid.
"""

import time

from axes.handlers.proxy import AxesProxyHandler
from axes.helpers import get_lockout_response
from django import forms
from django.contrib.auth import get_user_model, login, user_login_failed
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.crypto import constant_time_compare
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from nursery.context import current_nursery
from nursery.http import go_to
from nursery.openly import is_open
from nursery.people.second_step import has_second_step, refusal_of
from nursery.people.sessions import note_seen

HALF_WAY = "half_way"
PATIENCE = 10 * 60
"""Seconds in which the code must follow the password."""
STEPPED = "second_step"
BACKEND = "django.contrib.auth.backends.ModelBackend"
# Where one may be before the second step that the nursery asks for is set up.
BEFORE_IT = {"second-step", "logout"}


class DoorForm(AuthenticationForm):
    """Name and password. It never says which of the two is wrong."""

    error_messages = {
        "invalid_login": "That name and password do not go together. Mind capital letters.",
        "inactive": "That name and password do not go together. Mind capital letters.",
    }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Name"


class CodeForm(forms.Form):
    """A code of the phone, or a recovery code: digits both."""

    code = forms.CharField(
        label="Code",
        max_length=40,
        help_text="Six digits from the app on your phone, or one of your recovery codes.",
        widget=forms.TextInput(attrs={"autocomplete": "one-time-code", "inputmode": "numeric"}),
    )


class Door(LoginView):
    """Ask for name and password; let in, or lead on to the code."""

    authentication_form = DoorForm

    def form_valid(self, form):
        """Note who may go on, where a code is asked for."""
        account = form.get_user()
        if not has_second_step(account):
            return super().form_valid(form)
        self.request.session[HALF_WAY] = {
            "account": account.pk,
            "password": account.get_session_auth_hash(),
            "until": time.time() + PATIENCE,
            "next": self.get_success_url(),
        }
        self.request.session.cycle_key()
        return redirect("login-code")


@login_not_required
@never_cache
@sensitive_post_parameters("code")
@require_http_methods(["GET", "POST"])
def login_code(request: HttpRequest) -> HttpResponse:
    """Ask for the code, and let in."""
    account = _half_way(request)
    if account is None:
        return redirect("login")
    named = {"username": account.get_username()}
    if not AxesProxyHandler.is_allowed(request, named):
        return get_lockout_response(request, credentials=named)
    form = CodeForm(request.POST or None)
    form.fields["code"].widget.attrs["autofocus"] = True
    if form.is_valid():
        refusal = refusal_of(account=account, code=form.cleaned_data["code"])
        if not refusal:
            return _let_in(request, account)
        user_login_failed.send(__name__, credentials=named, request=request)
        form.add_error("code", refusal)
    return render(request, "registration/login_code.html", {"form": form})


def _half_way(request):
    """Return who gave the password a moment ago, if it is still theirs."""
    noted = request.session.get(HALF_WAY)
    if not noted or noted["until"] < time.time():
        return None
    account = get_user_model().objects.filter(pk=noted["account"], is_active=True).first()
    if account is None:
        return None
    same = constant_time_compare(noted["password"], account.get_session_auth_hash())
    return account if same else None


def _let_in(request, account):
    leads_to = request.session.pop(HALF_WAY)["next"]
    login(request, account, backend=BACKEND)
    request.session[STEPPED] = True
    return redirect(leads_to)


class KeepTheDoor:
    """Note that somebody was seen, and lead to the second step who must set it up."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request, view, *_arguments) -> HttpResponse | None:
        """Let the view run, or send to where the second step is set up."""
        asks_none = is_open(view) or not getattr(view, "login_required", True)
        if asks_none or not request.user.is_authenticated:
            return None
        note_seen(request.session)
        if request.session.get(STEPPED) or request.resolver_match.view_name in BEFORE_IT:
            return None
        return go_to(request, "second-step") if current_nursery().asks_second_step else None
