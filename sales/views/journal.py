"""The journal for whoever keeps the books, and the map of its accounts."""

from collections import defaultdict

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_safe

from inventory.errors import LedgerError
from nursery.context import current_currency
from nursery.http import go_to
from nursery.listing import list_page
from nursery.money import currency_digits, from_millionths
from sales import operations
from sales.forms.accounts import AccountForm
from sales.forms.year import SpanForm
from sales.journal import in_minor_units, journal_rows
from sales.queries.accounts import accounts as accounts_in_force
from sales.queries.journal import journal as entries_of
from sales.tables.journal import JournalTable


@require_safe
def journal(request: HttpRequest) -> HttpResponse:
    """Show the journal of a span, what each account moved, and that it balances."""
    form = SpanForm(request.GET)
    since, until = form.span
    digits = currency_digits(current_currency())
    entries = list(in_minor_units(entries_of(since=since, on=until), digits))
    accounts = accounts_in_force()
    sums = _sums(entries, accounts)
    debits, credits = (sum(row[side] for row in sums) for side in ("debit", "credit"))
    return list_page(
        request,
        JournalTable,
        list(journal_rows(entries, accounts)),
        template="sales/journal.html",
        context={
            "place": "books",
            "form": form,
            "since": since,
            "until": until,
            "entries": len(entries),
            "sums": sums,
            "debits": debits,
            "credits": credits,
            "difference": debits - credits,
        },
        export_name=f"journal-{since.isoformat()}-to-{until.isoformat()}",
    )


@require_http_methods(["GET", "POST"])
def accounts(request: HttpRequest) -> HttpResponse:
    """Show the accounts, and give one the code and name the books use."""
    chosen = accounts_in_force().get(request.GET.get("account", ""))
    form = AccountForm(request.POST or None, initial=chosen and chosen._asdict())
    if form.is_valid():
        try:
            account = operations.name_account(by=request.user, **form.cleaned_data)
        except LedgerError as error:
            form.add_error(error.field or None, str(error))
        else:
            messages.success(request, f"The journal posts to {account} from now on.")
            return go_to(request, "sales:accounts")
    context = {"place": "books", "form": form, "accounts": accounts_in_force().values()}
    return render(request, "sales/journal_accounts.html", context)


def _sums(entries, accounts):
    """Return what each account moved, in the order of the accounts' codes."""
    sums = defaultdict(lambda: [0, 0])
    for entry in entries:
        for line in entry.lines():
            sums[line.account][line.amount < 0] += abs(line.amount)
    rows = [
        {
            "account": accounts[key],
            "debit": from_millionths(debit),
            "credit": from_millionths(credit),
        }
        for key, (debit, credit) in sums.items()
    ]
    return sorted(rows, key=lambda row: (row["account"].code, row["account"].key))
