"""What is wanted for sale: the list with what to do for each, and its changes."""

from datetime import date

from django.core import signing
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from inventory.forms.targets import TargetForm
from inventory.models import Container, Plant, Target
from inventory.operations import targets as operations
from inventory.queries.plans import Planner, targets
from inventory.tables.targets import TargetTable
from inventory.targets import by_words
from inventory.views.catalogue import enter
from nursery.http import go_to
from nursery.listing import list_page
from nursery.numbers import is_number
from nursery.undo import offer_undo

SALT = "target before a change"
KEPT = ("quantity", "assurance", "note")


@require_safe
def target_list(request: HttpRequest) -> HttpResponse:
    """List the targets, the first wanted first, and name what to stick next."""
    rows = list(targets())
    plans = Planner(date.today()).plans(rows) if rows else []
    to_stick = [plan for plan in plans if plan.is_to_stick]
    context = {
        "place": "growing",
        "next": min(to_stick, key=lambda plan: plan.answer.stick_on, default=None),
        "late": sum(plan.is_late for plan in plans),
        "plans": plans,
    }
    return list_page(
        request,
        TargetTable,
        plans,
        template="inventory/target_list.html",
        context=context,
        export_name="targets",
    )


@require_http_methods(["GET", "POST"])
def target_add(request: HttpRequest) -> HttpResponse:
    """Want plants by a day."""
    form = TargetForm(request.POST or None, initial=_asked_for(request))
    return enter(
        request,
        form,
        write=lambda: operations.add_target(
            request_id=form.cleaned_data["request_id"], **form.what
        ),
        said=lambda target: f"{_words(target)} wanted.",
        undo=_removal,
        to=lambda target: ("sales:target", target.pk),
        context={"heading": "What do you want to have for sale?", "verb": "Work it out"},
    )


@require_http_methods(["GET", "POST"])
def target_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is wanted."""
    target = get_object_or_404(Target, pk=pk)
    back = reverse("inventory:target-change-back", args=[pk, _sealed(target)])
    form = TargetForm(request.POST or None, target=target)
    return enter(
        request,
        form,
        write=lambda: operations.change_target(target=target, **form.what),
        said=lambda target: f"Now {_words(target)} wanted.",
        undo=lambda _: back,
        to=lambda target: ("sales:target", target.pk),
        context={"heading": "Change what you want", "verb": "Save"},
    )


@require_POST
def target_change_back(request: HttpRequest, pk: int, before: str) -> HttpResponse:
    """Undo a change: want again what was wanted before."""
    target = get_object_or_404(Target, pk=pk)
    try:
        facts = signing.loads(before, salt=SALT)
    except signing.BadSignature as error:
        raise Http404 from error
    undone = reverse("inventory:target-change-back", args=[pk, _sealed(target)])
    operations.change_target(
        target=target,
        plant=Plant.objects.get(pk=facts["plant"]),
        container=Container.objects.get(pk=facts["container"]),
        ready_by=date.fromisoformat(facts["ready_by"]),
        **{name: facts[name] for name in KEPT},
    )
    offer_undo(request, f"Undone: {_words(target)} wanted.", undone)
    return go_to(request, "sales:target", pk)


@require_POST
def target_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a target off."""
    target = operations.remove_target(target=get_object_or_404(Target, pk=pk))
    undo = reverse("inventory:target-back", args=[pk])
    offer_undo(request, f"{_words(target)} no longer wanted.", undo)
    return go_to(request, "inventory:target-list")


@require_POST
def target_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a target back."""
    target = operations.put_target_back(target=get_object_or_404(Target, pk=pk))
    offer_undo(request, f"{_words(target)} wanted again.", _removal(target))
    return go_to(request, "sales:target", pk)


def _asked_for(request):
    """Return what a page sent along, for the form to begin with."""
    sent = {name: request.GET.get(name, "") for name in ("plant", "container", "quantity")}
    return {name: value for name, value in sent.items() if is_number(value)}


def _removal(target):
    return reverse("inventory:target-remove", args=[target.pk])


def _sealed(target):
    facts = {name: getattr(target, name) for name in KEPT}
    facts |= {"plant": target.plant_id, "container": target.container_id}
    return signing.dumps(facts | {"ready_by": target.ready_by.isoformat()}, salt=SALT)


def _words(target):
    return f"{target} by {by_words(target.ready_by)}"
