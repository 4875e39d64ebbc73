"""The pages by which an owner lets people in, and the one on which they choose a password."""

from django.contrib import messages
from django.contrib.auth import get_user_model
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlsafe_base64_decode, urlsafe_base64_encode
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from nursery.http import go_to, only_on_this_machine
from nursery.people import helpers
from nursery.people.forms import HelperForm, JoinForm
from nursery.people.roles import Role, role_of
from nursery.undo import offer_undo

User = get_user_model()
# The session keeps a link until the next page has shown it, once.
LINK = "joining"


@require_safe
@never_cache
def helper_list(request: HttpRequest) -> HttpResponse:
    """Show who may log in, as what, and when they last did."""
    people = User.objects.prefetch_related("groups").order_by("-is_active", "username")
    context = {
        "people": [(person, role_of(person)) for person in people],
        "roles": list(Role),
        "joining": request.session.pop(LINK, None),
        "only_here": only_on_this_machine(request),
    }
    return render(request, "people/helper_list.html", context)


@require_http_methods(["GET", "POST"])
def helper_add(request: HttpRequest) -> HttpResponse:
    """Let somebody in, and make the link by which they choose their password."""
    form = HelperForm(request.POST or None)
    if form.is_valid():
        asked = {"name": form.cleaned_data["name"], "role": Role(form.cleaned_data["role"])}
        try:
            helper = helpers.add_helper(**asked, by=request.user)
            _make_link(request, helper)
        except LedgerError as error:
            form.refuse(error)
        else:
            undo = reverse("helper-out", args=[helper.pk])
            offer_undo(request, f"{helper} may come in as {asked['role']}.", undo)
            return go_to(request, "helper-list")
    return render(request, "people/helper_form.html", {"form": form})


@require_POST
def helper_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Make another link for somebody who lost theirs, or forgot their password."""
    return _done(request, pk, lambda helper: _make_link(request, helper))


@require_POST
def helper_role(request: HttpRequest, pk: int, role: str) -> HttpResponse:
    """Give a person another role; with the one before it, this is its own Undo."""
    if role not in list(Role):
        raise Http404
    wanted = Role(role)

    def change(helper):
        before = role_of(helper)
        helpers.change_role(helper=helper, role=wanted, by=request.user)
        if before and before != wanted:
            undo = reverse("helper-role", args=[helper.pk, before])
            offer_undo(request, f"{helper} is {wanted} now, and was {before}.", undo)

    return _done(request, pk, change)


@require_POST
def helper_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an account out of use."""

    def take_out(helper):
        helpers.take_out_of_use(helper=helper, by=request.user)
        undo = reverse("helper-back", args=[helper.pk])
        offer_undo(request, f"{helper} may not come in any more.", undo)

    return _done(request, pk, take_out)


@require_POST
def helper_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an account back into use."""

    def take_back(helper):
        helpers.take_back_into_use(helper=helper, by=request.user)
        undo = reverse("helper-out", args=[helper.pk])
        offer_undo(request, f"{helper} may come in again.", undo)

    return _done(request, pk, take_back)


@login_not_required
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def helper_join(request: HttpRequest, key: str, secret: str) -> HttpResponse:
    """Let a person who holds a link choose their password."""
    helper = _invited(key)
    if helper is None or not helpers.tokens.check_token(helper, secret):
        return render(request, "people/link_over.html", status=410)
    form = JoinForm(helper, request.POST or None)
    if form.is_valid():
        password = form.cleaned_data["new_password1"]
        try:
            helpers.join(helper=helper, secret=secret, password=password)
        except LedgerError as error:
            form.refuse(error)
        else:
            messages.success(request, f"Your password is set. Log in as {helper}.")
            return redirect("login")
    return render(request, "people/join.html", {"form": form, "helper": helper})


def _make_link(request, helper):
    """Make a link and keep it for the page that shows it."""
    secret = helpers.new_secret(helper=helper, by=request.user)
    key = urlsafe_base64_encode(str(helper.pk).encode())
    address = request.build_absolute_uri(reverse("helper-join", args=[key, secret]))
    request.session[LINK] = {"name": helper.get_username(), "address": address}


def _done(request, pk, act):
    """Do something to an account, say what stood in the way, and show the list again."""
    try:
        act(get_object_or_404(User, pk=pk))
    except LedgerError as error:
        messages.error(request, str(error))
    return go_to(request, "helper-list")


def _invited(key):
    """Return who a link is for, or None where it names nobody who may come in."""
    try:
        number = int(urlsafe_base64_decode(key).decode())
    except ValueError:
        return None
    return User.objects.filter(pk=number, is_active=True).first()
