"""Give the journal's accounts the codes and names that the books use."""

from uuid import UUID

from inventory.operations.posting import ledger_held
from sales.accounts import ACCOUNTS
from sales.errors import SaleRefused
from sales.models import AccountName

KEYS = {account.key for account in ACCOUNTS}


def name_account(
    *, key: str, code: str, name: str, request_id: UUID | None = None, by=None
) -> AccountName:
    """Give one account a code and a name; two accounts may share a code.

    The same once more changes nothing. Raises SaleRefused for an account the
    journal does not have, and where code or name is missing.
    """
    if key not in KEYS:
        raise SaleRefused(f"The journal has no account “{key}”.", field="key")
    if not code.strip() or not name.strip():
        raise SaleRefused("An account has a code and a name.", field="code")
    with ledger_held():
        row, _ = AccountName.objects.update_or_create(
            key=key, defaults={"code": code.strip(), "name": name.strip()}
        )
        return row
