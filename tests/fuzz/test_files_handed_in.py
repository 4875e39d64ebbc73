"""Files that people hand in: spoilt ones are read or refused in words, bombs stay small."""

import io
import subprocess
import sys
import zipfile
from pathlib import Path
from random import Random

import pytest
from PIL import Image

from nursery.pictures import NoPicture, fit_to_show
from nursery.sheet_file import Unreadable, read_file
from tests.fuzz import MORE
from tests.fuzz.bombs import Upload
from tests.fuzz.mutants import CELLS, cut, flip, spoilt
from tests.fuzz.visiting import place_of, told
from tests.untidy_notebook import as_csv, as_xlsx, untidy

ROOT = Path(__file__).resolve().parent.parent.parent
TRIES = 60 * MORE
PLACE = {0: b"\x02\x03\x00\x00", 1: "N", 2: (51.0, 30.0, 0.0)}


def taken(kind: str) -> bytes:
    """Return a picture that tells where it was taken."""
    out, facts = io.BytesIO(), Image.Exif()
    facts[0x010F] = "Camera of Fallow Row"
    facts.get_ifd(0x8825).update(PLACE)
    Image.effect_noise((90, 60), 40).convert("RGB").save(out, kind, exif=facts)
    return out.getvalue()


def with_a_word(part: bytes, dice: Random) -> bytes:
    """Put something strange before every value of a sheet."""
    word = dice.choice(CELLS)[:40].encode("utf-8", "replace")
    return part.replace(b"<v>", b"<v>" + word).replace(b"<t>", b"<t>" + word)


def repacked(content: bytes, dice: Random) -> bytes:
    """Spoil one part within a packed spreadsheet."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as book, zipfile.ZipFile(out, "w") as other:
        chosen = dice.choice(book.namelist())
        for name in book.namelist():
            part = book.read(name)
            if name == chosen:
                part = dice.choice((flip, cut, with_a_word))(part, dice)
            other.writestr(name, part)
    return out.getvalue()


def tried(make, read, refusal) -> None:
    """Read so many spoilt files, and claim that each is read or refused in words."""
    faults, refused = {}, 0
    for seed in range(TRIES):
        content = make(Random(seed))
        try:
            read(content)
        except refusal as error:
            refused += 1
            assert len(str(error)) > 20
        except Exception as error:
            faults.setdefault(place_of(error), f"{seed}: {error!s:.300}")
    assert not faults, told(faults)
    assert 0 < refused < TRIES, "some are read, some are not"
    print(f"{TRIES} files, {refused} refused")


def test_a_spoilt_table_of_text_is_read_or_refused():
    good = as_csv(untidy().rows[:60], "utf-8", ",")
    tried(lambda dice: spoilt(good, dice), lambda b: read_file(Upload(b)), Unreadable)


def test_a_spoilt_spreadsheet_is_read_or_refused():
    good = as_xlsx(untidy().rows[:40])

    def make(dice):
        return dice.choice((repacked, repacked, flip, cut))(good, dice)

    tried(make, lambda content: read_file(Upload(content)), Unreadable)


@pytest.mark.filterwarnings("ignore::UserWarning")  # Pillow's, of spoilt facts of the camera
def test_a_spoilt_picture_is_shown_without_its_place_or_refused():
    good = [taken(kind) for kind in ("JPEG", "PNG", "WEBP")]

    def read(content):
        made = fit_to_show(content)
        for one in (made.large, made.small):
            assert b"Fallow" not in one and not Image.open(io.BytesIO(one)).getexif()

    for content in good:
        read(content)
    tried(lambda dice: dice.choice((flip, cut))(dice.choice(good), dice), read, NoPicture)


def test_what_would_grow_without_end_is_refused_in_little_room():
    done = subprocess.run(
        [sys.executable, "-m", "tests.fuzz.bombs"], capture_output=True, text=True, cwd=ROOT
    )

    assert done.returncode == 0, done.stderr[-2_000:]
    lines = done.stdout.splitlines()
    assert len(lines) == 16
    assert [line for line in lines if line.endswith(": read")] == ["a million columns: read"]
