"""Your account: how you come in, and where you are in. Everybody who is logged in has one."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.errors import LedgerError
from nursery.context import current_nursery
from nursery.http import go_to
from nursery.models import Deed
from nursery.people import second_step
from nursery.people.account_forms import NewPasswordForm, ProveForm, SetUpForm
from nursery.people.door import STEPPED
from nursery.people.roles import role_of
from nursery.people.sessions import end, logins
from nursery.qr import drawn

LATEST = 5
KEY = "second_step_key"


@require_safe
def your_account(request: HttpRequest) -> HttpResponse:
    """Show how one comes in, where one is logged in and what was tried at the door."""
    account = request.user
    context = {
        "role": role_of(account),
        "has_step": second_step.has_second_step(account),
        "codes_left": second_step.codes_left(account),
        "logins": logins(account),
        "here": request.session.session_key,
        "latest": Deed.objects.filter(by=account, kind=Deed.Kind.DOORS)[:LATEST],
    }
    return render(request, "people/your_account.html", context)


@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """Change one's password, and end one's other log-ins."""
    form = NewPasswordForm(request.POST or None, request=request)
    if not form.is_valid():
        return render(request, "people/password.html", {"form": form})
    update_session_auth_hash(request, form.save())
    ended = second_step.end_others(request.user, request.session)
    messages.success(request, f"Your password is changed. {_told(ended)}")
    return go_to(request, "your-account")


@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def set_up_step(request: HttpRequest) -> HttpResponse:
    """Show a secret as a picture and in letters until a code proves that a phone has it."""
    if second_step.has_second_step(request.user):
        return _change_step(request)
    key = request.session.setdefault(KEY, second_step.new_key())
    form = SetUpForm(request.POST or None, request=request)
    if form.is_valid():
        try:
            codes = second_step.switch_on(
                account=request.user, key=key, code=form.cleaned_data["code"]
            )
        except LedgerError as error:
            form.add_error(error.field or None, str(error))
        else:
            del request.session[KEY]
            request.session[STEPPED] = True
            second_step.end_others(request.user, request.session)
            return _show_codes(request, codes)
    letters = second_step.in_letters(key)
    context = {
        "form": form,
        "code": drawn(second_step.address_for_app(key, request.user)),
        "letters": " ".join(letters[at : at + 4] for at in range(0, len(letters), 4)),
        "is_asked": current_nursery().asks_second_step,
    }
    return render(request, "people/second_step_set_up.html", context)


@never_cache
@sensitive_post_parameters()
@require_POST
def renew_codes(request: HttpRequest) -> HttpResponse:
    """Put new recovery codes in the place of the old ones, and show them once."""
    form = ProveForm(request.POST, request=request)
    if not form.is_valid():
        return _change_step(request, form)
    try:
        codes = second_step.renew_codes(account=request.user)
    except LedgerError:
        return go_to(request, "second-step")
    return _show_codes(request, codes)


@never_cache
@sensitive_post_parameters()
@require_POST
def switch_step_off(request: HttpRequest) -> HttpResponse:
    """Switch the second step off, unless the nursery asks it of everybody."""
    form = ProveForm(request.POST, request=request)
    if current_nursery().asks_second_step:
        form.add_error(None, "The nursery asks everybody for a second step. An owner may end that.")
    if not form.is_valid():
        return _change_step(request, form)
    second_step.switch_off(account=request.user)
    request.session.pop(STEPPED, None)
    ended = second_step.end_others(request.user, request.session)
    messages.success(request, f"The second step is off. {_told(ended)}")
    return go_to(request, "your-account")


@require_POST
def end_login(request: HttpRequest, number) -> HttpResponse:
    """End one of one's own log-ins."""
    chosen = logins(request.user).filter(number=number)
    device = str(get_object_or_404(chosen))
    end(chosen)
    messages.success(request, f"{device} is logged out.")
    return go_to(request, "your-account")


@require_POST
def end_other_logins(request: HttpRequest) -> HttpResponse:
    """End all of one's log-ins but this one."""
    ended = second_step.end_others(request.user, request.session)
    messages.success(request, _told(ended) or "You are logged in nowhere else.")
    return go_to(request, "your-account")


def _change_step(request, form=None):
    context = {
        "form": form or ProveForm(request=request),
        "codes_left": second_step.codes_left(request.user),
        "is_asked": current_nursery().asks_second_step,
    }
    return render(request, "people/second_step.html", context)


def _show_codes(request, codes):
    return render(request, "people/recovery_codes.html", {"codes": codes})


def _told(ended: int) -> str:
    if not ended:
        return ""
    return f"{ended} other log-in{'s' if ended > 1 else ''} ended."
