"""The doors, for an owner: who is logged in, whose name is locked, what everybody must give."""

from axes.models import AccessAttempt
from axes.utils import reset
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import get_user_model
from django.db.models import Exists, OuterRef, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe
from django_otp.plugins.otp_totp.models import TOTPDevice

from inventory.operations.nursery import ask_second_step
from nursery.http import go_to
from nursery.people.sessions import end, logins


@require_safe
def doors(request: HttpRequest) -> HttpResponse:
    """Show whose names are locked, who is logged in, and who has a second step."""
    names, others = locked_names()
    steps = TOTPDevice.objects.filter(user=OuterRef("pk"), confirmed=True)
    accounts = get_user_model().objects.filter(is_active=True)
    context = {
        "locked": names,
        "locked_others": others,
        "logins": logins().select_related("account"),
        "here": request.session.session_key,
        "accounts": accounts.annotate(has_step=Exists(steps)).order_by("username"),
    }
    return render(request, "people/doors.html", context)


@require_POST
def end_anyones_login(request: HttpRequest, number) -> HttpResponse:
    """End a login, whosever it is."""
    chosen = logins().filter(number=number)
    found = get_object_or_404(chosen.select_related("account"))
    end(chosen)
    messages.success(request, f"{found.account}, {found}: logged out.")
    return go_to(request, "doors")


@require_POST
def let_in_at_once(request: HttpRequest, pk: int) -> HttpResponse:
    """End the wait of an account's name after wrong passwords."""
    account = get_object_or_404(get_user_model(), pk=pk)
    reset(username=account.get_username())
    messages.success(request, f"{account} may try again at once.")
    return go_to(request, "doors")


@require_POST
def ask_everybody(request: HttpRequest, asked: bool) -> HttpResponse:
    """Ask everybody for a second step, or leave it to each."""
    ask_second_step(asked=asked)
    words = "Everybody is asked for" if asked else "Each chooses for themselves whether to have"
    messages.success(request, f"{words} a second step.")
    return go_to(request, "doors")


def locked_names() -> tuple[list, int]:
    """Return the accounts whose names must wait, and how many names that are nobody's do.

    Those are not shown: people type passwords where the name belongs.
    """
    since = timezone.now() - settings.AXES_COOLOFF_TIME
    tries = AccessAttempt.objects.filter(attempt_time__gte=since)
    tries = tries.values("username", "ip_address").annotate(failed=Sum("failures_since_start"))
    locked = tries.filter(failed__gte=settings.AXES_FAILURE_LIMIT)
    names = set(locked.values_list("username", flat=True))
    known = list(get_user_model().objects.filter(username__in=names).order_by("username"))
    return known, len(names) - len(known)
