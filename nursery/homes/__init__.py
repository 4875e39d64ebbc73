"""Where a ledger lives: a file beside the program or a PostgreSQL server, and moving house."""
