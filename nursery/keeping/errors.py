"""What stands in the way of keeping the ledger safe."""


class CannotKeep(Exception):
    """No copy can be made or brought back; the words say why, and what would help."""


class MayNotMakeDatabases(CannotKeep):
    """This account of PostgreSQL has no right to create a database."""
