"""What stands in the way of keeping the ledger safe."""


class CannotKeep(Exception):
    """No copy can be made or brought back; the words say why, and what would help."""
