"""A buyer's account: take money ahead, use it, keep it, give it back."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inventory.errors import LedgerError
from nursery.http import go_to
from nursery.once import saved_before
from nursery.templatetags.nursery_tags import money
from nursery.undo import offer_undo
from sales import operations
from sales.forms.amounts import typed
from sales.forms.payments import AccountForm
from sales.models import Document, Hold
from sales.queries.deposits import deposit_of
from sales.queries.on_account import free_on_account, on_account
from sales.queries.owed import owed
from sales.views.buyers import buyer_at
from sales.views.payments import saved_payment


@dataclass(frozen=True)
class Act:
    """One way onto an account or off it: its verb, its words, what it asks."""

    write: Callable
    heading: str
    verb: str
    said: str
    explained: str
    asks: tuple[str, ...] = ()


OF_BUYERS = {
    "take": Act(
        operations.take_on_account,
        "What did {buyer} pay ahead?",
        "Take onto the account",
        "{amount} is on the account of {buyer}.",
        "A deposit, or money for plants not sold yet. It is owed to them until it is used "
        "for an invoice or given back.",
        ("method", "note"),
    ),
    "back": Act(
        operations.give_back,
        "What is given back to {buyer}?",
        "Give back",
        "{amount} is given back to {buyer}.",
        "In cash it is rounded to what cash can pay.",
        ("method",),
    ),
}
OF_HOLDS = {
    "take": Act(
        operations.take_deposit,
        "What does {buyer} pay ahead for {hold}?",
        "Take the deposit",
        "{amount} is on the account of {buyer}, as the deposit for {hold}.",
        "It is owed to them until an invoice of this hold uses it, or it is given back.",
        ("method", "note"),
    ),
    "back": Act(
        operations.give_deposit_back,
        "What of the deposit is given back to {buyer}?",
        "Give back",
        "{amount} of the deposit is given back to {buyer}.",
        "In cash it is rounded to what cash can pay.",
        ("method",),
    ),
}
OF_DOCUMENTS = {
    "use": Act(
        operations.use_account,
        "What of the account pays {document}?",
        "Use it",
        "{amount} of the account pays {document}.",
        "It goes off the account of {buyer}, and off what is owed here.",
    ),
    "keep": Act(
        operations.keep_on_account,
        "What of {document} stays on the account?",
        "Keep it on the account",
        "{amount} of {document} is on the account of {buyer}.",
        "Instead of paying it back now. It can be used for the next invoice.",
    ),
    "let-go": Act(
        operations.let_go,
        "What of {document} is let go?",
        "Let it go",
        "{amount} of {document} is let go.",
        "They keep the plants and need not pay this part. For plants that come back, take them "
        "back instead. Whether tax falls away with it is for your tax authority to say.",
        ("note",),
    ),
}


@require_http_methods(["GET", "POST"])
def buyer_account(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Take money onto a buyer's account, or give it back."""
    act = _act(OF_BUYERS, kind)
    buyer = buyer_at(pk)
    on = timezone.localdate()
    amount = free_on_account(buyer, on) if kind == "back" else None
    back = reverse("sales:buyer", args=[pk])
    return _answer(request, act, amount, back, {"buyer": buyer}, {"buyer": buyer})


@require_http_methods(["GET", "POST"])
def hold_deposit(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Take a deposit for a hold, or give back what is left of it."""
    act = _act(OF_HOLDS, kind)
    hold = get_object_or_404(Hold.objects.select_related("buyer"), pk=pk)
    amount = deposit_of(hold, timezone.localdate()).left if kind == "back" else None
    back = reverse("sales:hold", args=[pk])
    names = {"buyer": hold.buyer, "hold": hold}
    return _answer(request, act, amount, back, names, {"hold": hold})


@require_http_methods(["GET", "POST"])
def document_account(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Pay a document from its buyer's account, or keep there what it is to pay back."""
    act = _act(OF_DOCUMENTS, kind)
    rows = Document.objects.select_related("buyer").filter(kind=Document.Kind.SALE)
    if kind != "let-go":
        rows = rows.filter(buyer__isnull=False)
    document = get_object_or_404(rows, pk=pk)
    amount = _proposed(document, kind)
    back = reverse("sales:document", args=[pk])
    names = {"buyer": document.buyer, "document": document}
    return _answer(request, act, amount, back, names, {"document": document}, kind)


def _proposed(document, kind):
    due = owed(document)
    if kind == "let-go":
        return None
    if kind == "keep":
        return -due
    return min(due, free_on_account(document.buyer, timezone.localdate()))


def _act(acts, kind):
    if kind not in acts:
        raise Http404(f"An account knows {' and '.join(acts)}.")
    return acts[kind]


def _answer(request, act, amount, back, names, written_on, kind=""):
    proposed = {"amount": typed(max(amount, Decimal(0)))} if amount is not None else {}
    form = AccountForm(request.POST or None, initial=proposed, asks=act.asks)
    if known := saved_before(request, form, saved_payment):
        return known
    if form.is_valid():
        try:
            payment = act.write(by=request.user, **written_on, **form.cleaned_data)
        except LedgerError as error:
            form.refuse(error)
        else:
            said = act.said.format(amount=money(form.cleaned_data["amount"]), **names)
            offer_undo(request, said, reverse("sales:undo-payment", args=[payment.pk]))
            return go_to(request, back)
    context = {
        "place": "buyers",
        "form": form,
        "heading": act.heading.format(**names),
        "verb": act.verb,
        "explained": act.explained.format(**names),
        "back": back,
        "kind": kind,
        "on_account": on_account(names["buyer"]) if names["buyer"] else None,
        "owed": owed(names["document"]) if "document" in names else None,
        **names,
    }
    return render(request, "sales/account.html", context)
