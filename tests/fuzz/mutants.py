"""Good files, spoilt: letters flipped, rows turned about, cut off, in the wrong encoding."""

import csv
import io
from random import Random

CELLS = (
    *("", "0", "-1", "1.5", "99999999999999999999", "1e999999", "NaN", "Infinity", "0" * 5_000),
    *("2026-02-30", "0001-01-01", "9999-12-31", "2026-W01-1", "20260101", "²", "٣"),
    *("x" * 200, "x" * 100_000, "a\x00b", "\u202eabc", "🌱", "=1+1", "'; DROP TABLE x; --", '"'),
    *("stick", "sale", "payment", "tray", "#1", "cash", "{}", "[1]", "null", "1-2-3 mm"),
)


def spoilt(content: bytes, dice: Random) -> bytes:
    """Return a file with one to three faults."""
    for _ in range(dice.choice((1, 1, 2, 3))):
        content = dice.choice(WAYS)(content, dice)
    return content


def flip(content: bytes, dice: Random) -> bytes:
    """Change some bytes."""
    changed = bytearray(content)
    for _ in range(dice.choice((1, 1, 4, 30))):
        if changed:
            changed[dice.randrange(len(changed))] = dice.randrange(256)
    return bytes(changed)


def cut(content: bytes, dice: Random) -> bytes:
    """Cut off the end, or a piece of the middle."""
    at = sorted(dice.randrange(len(content) + 1) for _ in range(2))
    return content[: at[0]] if dice.random() < 0.5 else content[: at[0]] + content[at[1] :]


def of_text(content: bytes, dice: Random) -> bytes:
    """Write it in another encoding, with other ends of line, or with a quote left open."""
    text = content.decode("utf-8", "replace")
    return dice.choice(
        (
            lambda: text.encode("utf-16"),
            lambda: text.encode("latin-1", "replace"),
            lambda: b"\xef\xbb\xbf" + content,
            lambda: b"\xef\xbb\xbf\xef\xbb\xbf" + content,
            lambda: text.replace("\n", dice.choice(("\r\n", "\r", "\n\n", "\x0b"))).encode(),
            lambda: text.replace(
                ",", dice.choice((";", "\t", '",')), dice.randrange(1, 40)
            ).encode(),
            lambda: content.replace(b",", b"\x00,", 1),
        )
    )()


def of_rows(content: bytes, dice: Random) -> bytes:
    """Leave rows out, say them twice, or turn them about."""
    head, *rows = content.splitlines(keepends=True) or [b""]
    if not rows:
        return content
    which = dice.randrange(len(rows))
    match dice.randrange(5):
        case 0:
            del rows[which]
        case 1:
            rows.insert(dice.randrange(len(rows)), rows[which])
        case 2:
            dice.shuffle(rows)
        case 3:
            rows[which:which] = [head]
        case 4:
            rows = rows[which:]
    return b"".join((head, *rows))


def of_cells(content: bytes, dice: Random) -> bytes:
    """Put something else into a cell or two, or one cell's text into another."""
    try:
        rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig", "replace"))))
    except csv.Error:
        return content
    rows = [row for row in rows if row]
    for _ in range(dice.choice((1, 1, 2))):
        if len(rows) > 1:
            # The head is spoilt too, but seldom.
            row = rows[dice.randrange(0 if dice.random() < 0.03 else 1, len(rows))]
            place = dice.randrange(len(row))
            other = dice.choice(dice.choice(rows[1:]))
            row[place] = dice.choice((dice.choice(CELLS), other))
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    return out.getvalue().encode("utf-8", "replace")


WAYS = (flip, cut, of_text, of_rows, of_cells, of_cells, of_cells, of_cells)
