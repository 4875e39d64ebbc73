"""The accounts of the journal as the books call them."""

from sales.accounts import ACCOUNTS, Account
from sales.models import AccountName


def accounts() -> dict[str, Account]:
    """Return {key: account} with the codes and names in force."""
    given = {row.key: row for row in AccountName.objects.all()}
    return {
        own.key: own._replace(code=given[own.key].code, name=given[own.key].name)
        if own.key in given
        else own
        for own in ACCOUNTS
    }
