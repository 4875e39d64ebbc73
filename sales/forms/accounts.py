"""The codes and names of the journal's accounts."""

from django import forms

from nursery.forms import RequestForm
from sales.accounts import ACCOUNTS
from sales.models import AccountName


class AccountForm(RequestForm):
    """One account, and what the books call it."""

    key = forms.ChoiceField(
        label="Account", choices=[(account.key, account.name) for account in ACCOUNTS]
    )
    code = forms.CharField(
        label="Its code in the books", max_length=AccountName._meta.get_field("code").max_length
    )
    name = forms.CharField(
        label="Its name in the books", max_length=AccountName._meta.get_field("name").max_length
    )
