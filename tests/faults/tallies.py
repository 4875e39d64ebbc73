"""Count what campaigns came to, over all their ledgers, and print it as they go on."""

from contextlib import contextmanager

_totals: dict[str, object] = {}


def total(name: str, kind: type):
    """Return the tally of a campaign, begun at its first ledger."""
    return _totals.setdefault(name, kind())


def say_totals() -> list[str]:
    """Return a line for each campaign that was run."""
    return [f"{name}: {tally}" for name, tally in _totals.items()]


@contextmanager
def seeded(seed: int):
    """Name the seed where something fails, so that its ledger's tries can be repeated."""
    try:
        yield
    except BaseException as error:
        error.add_note(f"The seed was {seed}.")
        raise
