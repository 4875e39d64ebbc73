"""Read a grower's own table: which column is what, and what becomes of each row.

Nothing here asks the database or writes: `inventory.queries.notebook` brings what the ledger
knows, `inventory.operations` keeps the draft and brings the rows in.
"""
