"""The first page of an empty ledger: the nursery and its first account, on one page.

It is open only while there is no account, and only to a person at this machine or with
the token that `up` printed. After that it does not exist.
"""

import ipaddress
import secrets

from babel import Locale
from babel.numbers import get_territory_currencies
from django import forms
from django.conf import settings
from django.contrib.auth import get_user_model, login
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import BaseUserCreationForm
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import get_language, to_locale
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from inventory.models import Container, Nursery
from inventory.operations.posting import ledger_held
from nursery.openly import is_open

COMMON_CURRENCIES = ("USD", "CAD", "GBP", "EUR", "AUD", "NZD", "CHF", "SEK", "NOK", "DKK")


def somebody_is_here() -> bool:
    """Say whether any account exists."""
    return get_user_model().objects.exists()


class LeadToWelcome:
    """Send every page to the first one while there is no account.

    A person who is logged in proves by that that there is one, at no cost.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request, view, *_arguments) -> HttpResponse | None:
        """Let the first page and open ones through, and the others once somebody is here."""
        if view is welcome or is_open(view):
            return None
        if request.user.is_authenticated or somebody_is_here():
            return None
        return redirect("welcome")


class WelcomeForm(BaseUserCreationForm):
    """What the ledger cannot know by itself."""

    token = forms.CharField(required=False, widget=forms.HiddenInput)
    name = forms.CharField(label="What is the nursery called?", max_length=80)
    currency = forms.ChoiceField(label="Currency", initial="USD")
    units = forms.ChoiceField(
        label="Units", choices=Nursery.Units, initial=Nursery.Units.US, widget=forms.RadioSelect
    )
    containers = forms.ModelMultipleChoiceField(
        label="Which containers do you use?",
        queryset=Container.objects.all(),
        to_field_name="code",
        widget=forms.CheckboxSelectMultiple,
        help_text="The others can be added later.",
        error_messages={"required": "Tick at least one container."},
    )

    field_order = ("token", "name", "currency", "units", "containers", "username")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["currency"].choices = currency_choices()
        self.fields["username"].label = "Your name, to log in with"
        self.fields["username"].help_text = "Letters, digits and @ . + - _, without spaces."
        self.fields["containers"].label_from_instance = lambda row: f"{row.code}: {row.name}"
        self.fields["containers"].initial = list(
            Container.objects.filter(in_use=True).values_list("code", flat=True)
        )


def currency_choices() -> list:
    """Return the currencies of ISO 4217 in force, the common ones first."""
    locale = Locale.parse(to_locale(get_language() or "en"))
    in_force = {code for place in locale.territories for code in _currencies_of(place)}
    named = [(code, f"{code} – {locale.currencies.get(code, code)}") for code in sorted(in_force)]
    first = [row for code in COMMON_CURRENCIES for row in named if row[0] == code]
    return [("Common", first), ("All others", [row for row in named if row not in first])]


def _currencies_of(territory: str) -> list[str]:
    """Return the codes of a country's money today; a region of the world has none."""
    return get_territory_currencies(territory) if len(territory) == 2 else []


def settle_in(
    *, username: str, password: str, name: str, currency: str, units: str, containers
) -> AbstractBaseUser | None:
    """Create the nursery, its containers in use and the first account, or nothing at all.

    None where another press, perhaps through another server, was first.
    """
    with ledger_held():
        if somebody_is_here():
            return None
        nursery = Nursery.current()
        nursery.name, nursery.currency, nursery.units = name, currency, units
        nursery.save()
        Container.objects.update(in_use=False)
        Container.objects.filter(pk__in=[row.pk for row in containers]).update(in_use=True)
        return get_user_model().objects.create_superuser(username=username, password=password)


@login_not_required
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def welcome(request: HttpRequest) -> HttpResponse:
    """Ask for the nursery and the first account, then show Today."""
    if somebody_is_here():
        raise Http404
    if not _may_settle_in(request):
        return render(request, "welcome_elsewhere.html", status=403)
    # A ledger file that was read before the first account may have named the nursery.
    initial = {"token": request.GET.get("token", ""), "name": Nursery.current().name}
    form = WelcomeForm(request.POST or None, initial=initial)
    if not form.is_valid():
        return render(request, "welcome.html", {"form": form})
    answers = form.cleaned_data
    wanted = ("username", "name", "currency", "units", "containers")
    user = settle_in(password=answers["password1"], **{key: answers[key] for key in wanted})
    if user is None:
        return redirect("today")
    login(request, user, backend="django.contrib.auth.backends.ModelBackend")
    return redirect("today")


def _may_settle_in(request: HttpRequest) -> bool:
    """Let in who holds the token, or where there is none who sits at this machine."""
    if settings.WELCOME_TOKEN:
        given = request.POST.get("token") or request.GET.get("token") or ""
        return secrets.compare_digest(given.encode(), settings.WELCOME_TOKEN.encode())
    if settings.BEHIND_TLS or "X-Forwarded-For" in request.headers:
        return False
    return ipaddress.ip_address(request.META["REMOTE_ADDR"]).is_loopback
