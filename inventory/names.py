"""Write plant names as the codes of nomenclature ask, and find them again.

ICNCP (9th edition, 2016): a cultivar epithet stands in single quotation marks;
double quotation marks and "cv." are not accepted.  ICN Art. H.3.1: the sign ×
stands directly before the epithet or the genus of a hybrid.  ICN Art. H.2.1: a
hybrid formula keeps spaces round its ×.  Nothing here refuses a name: growers
have lots called "Boxwood, mixed", and those are kept as they were typed.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from inventory.latin import looks_latin

HYBRID_SIGN = "×"
LONGEST_EPITHET = 30
FIRST_YEAR_OF_LENGTH_RULE = 1996
FIRST_YEAR_WITHOUT_LATIN = 1959
# A notebook asks for each of its spellings many times over, and again on its next page.
REMEMBERED = 50_000

SINGLE_QUOTES = "'‘’‚‛`´′ʼ"
DOUBLE_QUOTES = '"“”„‟″«»'
_QUOTES = re.escape(SINGLE_QUOTES + DOUBLE_QUOTES)

_LETTER = r"[^\W\d_]"
_GENUS = re.compile(rf"{_LETTER}+(?:-{_LETTER}+)?|{_LETTER}\.")
_WORD = re.compile(rf"[(\[]?{_LETTER}(?:{_LETTER}|[.\-]|['’](?={_LETTER}))*[®™]?[)\]]?|&")
_OPENING = re.compile(rf"(?<![^\s(])[{_QUOTES}](?=[^\s{_QUOTES}])")
_CLOSING = re.compile(rf"[{_QUOTES}](?=[\s),;]|$)")
_CULTIVAR_MARK = re.compile(r"(?<=\S )cv(?:\.\s*|\s+)(?=\S)")
# A small x straight before a capital can only stand for the sign: xFatshedera.
_X_BEFORE_CAPITAL = re.compile(r"(?<!\S)x(?=[A-Z][a-z])")
_SIGN_BETWEEN_WORDS = re.compile(rf"(?<!\d)\s*{HYBRID_SIGN}\s*(?!\d)")
_APOSTROPHE = re.compile(rf"(?<=\w)[{re.escape(SINGLE_QUOTES)}](?=\w)")
_UNSPACED_QUOTE = re.compile(rf"(?<=\w)[{re.escape(DOUBLE_QUOTES)}](?=\w)")

JOINING_WORDS = (
    "a an and au aux das de del den der des di die du el en et for in la le les of on the to "
    "und van von vom zu à"
)
# These letters have no accent to take off, so they are spelled out.
_PLAIN_LETTERS = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i"}
)


@dataclass(frozen=True)
class PlantName:
    """Hold the pieces of a name, so that a page can set them in the right type.

    `genus` is empty where the text does not look botanical; then `rest` is all of it.
    `cultivar` has no quotation marks.  `after` is what follows the cultivar, seldom anything.
    """

    genus: str
    rest: str
    cultivar: str
    is_hybrid: bool
    after: str = ""

    @property
    def is_botanical(self) -> bool:
        return bool(self.genus)

    def __str__(self) -> str:
        quoted = f"'{self.cultivar}'" if self.cultivar else ""
        return " ".join(filter(None, (self.genus, self.rest, quoted, self.after)))


@lru_cache(REMEMBERED)
def clean_name(text: str) -> str:
    """Return the name in its canonical spelling; a name that is not botanical as it was typed."""
    typed = _collapse(text)
    words = _botanical_words(typed)
    return typed if words is None else " ".join(words)


@lru_cache(REMEMBERED)
def parts(text: str) -> PlantName:
    """Divide a name into genus, the rest, and the cultivar, after cleaning it."""
    typed = _collapse(text)
    words = _botanical_words(typed)
    if words is None:
        return PlantName(genus="", rest=typed, cultivar="", is_hybrid=False)
    quoted = next((i for i, word in enumerate(words) if _is_epithet(word)), len(words))
    return PlantName(
        genus=words[0],
        rest=" ".join(words[1:quoted]),
        cultivar=words[quoted][1:-1] if quoted < len(words) else "",
        is_hybrid=any(HYBRID_SIGN in word for word in words if not _is_epithet(word)),
        after=" ".join(words[quoted + 1 :]),
    )


@lru_cache(REMEMBERED)
def search_key(text: str) -> str:
    """Return what two spellings of one name have in common.

    The × of a hybrid is disregarded (ICN Art. H.3.3), as are x standing alone, quotation
    marks, "cv.", accents and capitals.  An x that begins a word stays: Xanthorhiza.
    """
    text = _APOSTROPHE.sub("", unicodedata.normalize("NFC", text))
    text = _UNSPACED_QUOTE.sub(" ", text.replace(HYBRID_SIGN, " "))
    text = re.sub(rf"[{_QUOTES}®™]", "", text)
    text = _X_BEFORE_CAPITAL.sub("", text)
    words = (re.sub(r"^cv(?:\.|$)", "", word) for word in _fold(text).split())
    return " ".join(word for word in words if word not in ("", "x"))


def epithet_length(name: str) -> int:
    """Count the characters of a cultivar epithet, without spaces and its quotation marks.

    Text without quotation marks is taken for the epithet itself.
    """
    typed = _collapse(name)
    epithets = [piece for is_epithet, piece in _pieces(typed) if is_epithet]
    return len((epithets[0] if epithets else typed).replace(" ", ""))


def remarks(name: str, year: int | None = None) -> list[str]:
    """Say what a namer would be told about the cultivar epithet; none of it refuses the name.

    `year` is the year in which the epithet was published, where that is known.
    """
    epithet = parts(name).cultivar
    if not epithet:
        return []
    found = (_length_remark(epithet, year), _sign_remark(epithet), _latin_remark(epithet, year))
    return [remark for remark in found if remark]


def _length_remark(epithet: str, year: int | None) -> str:
    length = len(epithet.replace(" ", ""))
    too_early = year is not None and year < FIRST_YEAR_OF_LENGTH_RULE
    if length <= LONGEST_EPITHET or too_early:
        return ""
    return (
        f"'{epithet}' has {length} characters without spaces; a cultivar named from "
        f"{FIRST_YEAR_OF_LENGTH_RULE} on may have {LONGEST_EPITHET}."
    )


def _sign_remark(epithet: str) -> str:
    bare = epithet.replace(" ", "")
    if len(bare) == 1 and bare.isalpha():
        return f"'{epithet}' is a single letter; a cultivar name needs more than that."
    if bare.isnumeric():
        return f"'{epithet}' is only numerals; a cultivar name needs a letter as well."
    return ""


def _latin_remark(epithet: str, year: int | None) -> str:
    if year is None or year < FIRST_YEAR_WITHOUT_LATIN or not looks_latin(epithet):
        return ""
    return (
        f"'{epithet}' looks like Latin; from {FIRST_YEAR_WITHOUT_LATIN} on, new cultivars "
        "are named in a living language."
    )


def _collapse(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).split())


def _fold(text: str) -> str:
    """Take off capitals and accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(letter for letter in apart if not unicodedata.combining(letter))
    return bare.casefold().translate(_PLAIN_LETTERS)


def _is_epithet(word: str) -> bool:
    return word.startswith("'")


def _botanical_words(typed: str) -> list[str] | None:
    """Return the cleaned words of a botanical name, or None where it does not look like one."""
    tokens = []
    for is_epithet, piece in _pieces(_quote_after_cv(typed)):
        plain = _plain_tokens(piece)
        if is_epithet:
            tokens.append(f"'{piece}'")
        elif all(token == HYBRID_SIGN or _WORD.fullmatch(token) for token in plain):
            tokens += plain
        else:
            return None
    if not _looks_botanical(tokens):
        return None
    return _set_signs(_capitalise_genus(tokens))


def _pieces(text: str) -> list[tuple[bool, str]]:
    """Divide text into (is an epithet, what it says), quotation marks taken off."""
    found, position = [], 0
    while opening := _OPENING.search(text, position):
        closing = _closing_after(text, opening)
        if closing is None:
            break
        found.append((False, text[position : opening.start()]))
        found.append((True, _plain_apostrophes(text[opening.end() : closing]).strip()))
        position = closing + 1
    found.append((False, text[position:]))
    return found


def _closing_after(text: str, opening: re.Match) -> int | None:
    """Find the mark that ends an epithet.

    A plural such as 'Bees' Knees' has an apostrophe that looks like the end, so a mark
    counts only if no further closing mark follows before the next opening one.
    """
    family = SINGLE_QUOTES if opening.group() in SINGLE_QUOTES else DOUBLE_QUOTES
    following = _OPENING.search(text, opening.end())
    until = following.start() if following else len(text)
    closings = [
        match.start()
        for match in _CLOSING.finditer(text, opening.end())
        if match.start() < until and match.group() in family
    ]
    return closings[-1] if closings else None


def _plain_apostrophes(epithet: str) -> str:
    return re.sub(f"[{re.escape(SINGLE_QUOTES)}]", "'", epithet)


def _quote_after_cv(text: str) -> str:
    """Turn "cv. Crimson Pygmy" into 'Crimson Pygmy'."""
    while mark := _CULTIVAR_MARK.search(text):
        before, after = text[: mark.start()], text[mark.end() :]
        if after[0] in SINGLE_QUOTES + DOUBLE_QUOTES:
            text = before + after
        else:
            epithet = _leading_epithet(after)
            text = f"{before}'{epithet}'{after[len(epithet) :]}"
    return text


def _leading_epithet(text: str) -> str:
    """Return the words at the front that belong to an unquoted epithet."""
    words = text.split(" ")
    last = 0
    for index, word in enumerate(words[1:], start=1):
        if word[0].isupper() or word[0].isdigit():
            last = index
        elif word not in JOINING_WORDS.split():
            break
    return " ".join(words[: last + 1]).rstrip(",;")


def _plain_tokens(piece: str) -> list[str]:
    """Split text outside epithets into words, with × wherever a hybrid is meant."""
    spaced = _SIGN_BETWEEN_WORDS.sub(f" {HYBRID_SIGN} ", piece)
    spaced = _X_BEFORE_CAPITAL.sub(f"{HYBRID_SIGN} ", spaced)
    return [HYBRID_SIGN if token in ("x", "X") else token for token in spaced.split()]


def _looks_botanical(tokens: list[str]) -> bool:
    """Tell whether a genus comes first and each × has something to stand before."""
    words = [token for token in tokens if token != HYBRID_SIGN]
    if not words or not _GENUS.fullmatch(words[0]) or tokens[-1] == HYBRID_SIGN:
        return False
    signs = "".join("×" if token == HYBRID_SIGN else "w" for token in tokens)
    return not signs.startswith("××") and "×××" not in signs


def _capitalise_genus(tokens: list[str]) -> list[str]:
    first = 1 if tokens[0] == HYBRID_SIGN else 0
    genus = tokens[first]
    return [*tokens[:first], genus[0].upper() + genus[1:], *tokens[first + 1 :]]


def _set_signs(tokens: list[str]) -> list[str]:
    """Join each × to the genus or epithet it marks; leave it apart in a hybrid formula."""
    written, term, sign = [], [], ""
    for token, following in zip(tokens, [*tokens[1:], ""], strict=True):
        if token != HYBRID_SIGN:
            written.append(sign + token)
            term.append(token)
            sign = ""
        elif _marks_next_word(term, following):
            sign = HYBRID_SIGN
        else:
            written.append(HYBRID_SIGN)
            term = []
    return written


def _marks_next_word(term: list[str], following: str) -> bool:
    """Tell a nothogenus or nothospecies from a formula by what stands before and after the ×."""
    if not term:
        return following[:1].isalpha()
    return len(term) == 1 and term[0][:1].isupper() and following[:1].islower()
