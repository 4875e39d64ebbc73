"""The people of the ledger: what each may do, and how they come in."""
