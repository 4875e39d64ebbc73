"""What an address asks of the person who comes to it: a right to read, a right to write."""

from dataclasses import dataclass, field


class Right(str):
    """One of Django's permissions, "app.codename", with what it lets a person do.

    The words follow "may" and "may not": "see what plants cost".
    """

    words: str

    def __new__(cls, permission: str, words: str = ""):
        right = super().__new__(cls, permission)
        right.words = words
        return right


# Not permissions, but what an address may ask instead of one.
ANYONE = Right("anyone", "come in without a login")
SIGNED_IN = Right("signed in", "log in")
NOBODY = Right("nobody", "send anything to this page")

READING = frozenset({"GET", "HEAD", "OPTIONS"})


@dataclass(frozen=True)
class Asks:
    """The right that reading a page asks, and the right that writing to it asks."""

    read: Right
    write: Right = field(default=NOBODY)

    def of(self, method: str) -> Right:
        """Return the right that a method of HTTP asks."""
        return self.read if method in READING else self.write


def reading(right: Right) -> Asks:
    """Ask for a right to read a page that takes nothing."""
    return Asks(right)


def entering(right: Right) -> Asks:
    """Ask for the same right to open a form or a button and to send it."""
    return Asks(right, right)


def named(app: str, rights: dict[Asks, str]) -> dict[str, Asks]:
    """Spread a table of rights, each with its addresses in words, over the addresses.

    Raises ValueError where an address is named twice.
    """
    spread: dict[str, Asks] = {}
    for asks, names in rights.items():
        for name in names.split():
            whole = f"{app}:{name}" if app else name
            if whole in spread:
                raise ValueError(f"{whole} stands twice in the table of rights.")
            spread[whole] = asks
    return spread
