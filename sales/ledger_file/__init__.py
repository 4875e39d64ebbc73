"""The ledger file: one CSV that holds a nursery's whole history."""
