"""What selling refuses, worded for the person at the stand."""

from inventory.errors import LedgerError


class SaleRefused(LedgerError):
    """A sale, return or payment that cannot be as entered."""
