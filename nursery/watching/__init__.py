"""Who did what, what went wrong, and whether the ledger is well."""
