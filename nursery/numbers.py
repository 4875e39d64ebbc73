"""Tell a number in an address from anything else that may stand there."""

# A key of 64 bits has nineteen digits; longer ones, Python would not even read.
MOST_DIGITS = 18


def is_number(text: object) -> bool:
    """Say whether text is a whole number that may name a row: plain digits, and not too many.

    `str.isdigit` takes "²" and `str.isdecimal` "٣" for digits.
    """
    text = str(text or "")
    return text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS
