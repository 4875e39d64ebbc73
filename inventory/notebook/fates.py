"""Say of each row of a notebook what becomes of it, and ask what only the grower knows."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cache, cached_property
from hashlib import sha256

from inventory.models import Container
from inventory.notebook.columns import BY_NAME, words_of
from inventory.notebook.days import DAY_FIRST, MONTH_FIRST, DayReader, Seasons, Unclear
from inventory.notebook.numbers import amount, decimal_mark, reads_two_ways, whole_number
from inventory.notebook.plant_names import PlantNames
from inventory.notebook.pots import Pots
from inventory.operations.bring_in import Standing
from nursery.money import round_to_currency

IN, OUT, YOU = "in", "out", "you"
LEAVE_OUT = "*leave out*"
TOTALS = {"total", "totals", "sum", "subtotal", "summe", "gesamt", "zwischensumme", "suma", "somme"}
NONE_LEFT = {"none", "no", "nil", "sold", "gone", "dead", "died", "lost", "out", "discarded"} | {
    *("keine", "verkauft", "tot", "vendu", "mort", "vendido", "muerto")
}
SAME_AS_ABOVE = {'"', "''", "do.", "ditto", "”", "„", "〃"}
FORMULA_STARTS = ("=", "+", "-", "@")
FILLED_DOWN = ("plant", "common_name", "place", "container")
NEAR_PLACE = 0.8


@dataclass(frozen=True)
class Known:
    """What the ledger knows: plants by search key, common names and places in small letters."""

    plants: Mapping[str, str]
    common: Mapping[str, str]
    places: Mapping[str, str]
    containers: Mapping[str, Container]
    pots: Pots
    lots: frozenset[str]
    seasons: Seasons
    currency: str


@dataclass(frozen=True)
class Question:
    """Something asked once for all rows of one spelling: what may be chosen, the likely first."""

    kind: str
    spelling: str
    words: str
    offers: tuple[tuple[str, str], ...]
    is_free: bool = False
    rows: int = 0

    @property
    def name(self) -> str:
        return f"{self.kind}-{sha256(self.spelling.encode()).hexdigest()[:12]}"


@dataclass
class Line:
    """One row: its cells by our names, its fate and why, and the fields to mend in it."""

    number: int
    cells: dict[str, str]
    fate: str = IN
    why: list[str] = field(default_factory=list)
    mend: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    standing: Standing | None = None

    def leave_out(self, why: str) -> "Line":
        self.fate, self.why = OUT, [why]
        return self

    def ask(self, why: str, name: str = "") -> None:
        self.fate = YOU
        self.why.append(why)
        if name:
            self.mend.append(name)

    @property
    def fields(self) -> list[tuple[str, str, str]]:
        """The cells to mend: name in the form, words, what stands there."""
        names = dict.fromkeys(self.mend)
        return [
            (f"row-{self.number}-{name}", BY_NAME[name].words, self.cells.get(name, ""))
            for name in names
        ]


class Notebook:
    """The rows of a table with what was said of them, and each row's fate."""

    def __init__(
        self,
        rows: Sequence[Sequence[str]],
        *,
        heading_row: int,
        matching: Mapping[str, str],
        answers: Mapping,
        mended: Mapping[str, Mapping[str, str]],
        known: Known,
    ):
        self.known, self.answers = known, answers
        self.mended = mended
        self.asked: dict[tuple[str, str], Question] = {}
        self.asked_rows: Counter = Counter()
        columns = {name: int(place) for place, name in matching.items() if name}
        self.lines = list(self._cells(rows, heading_row, columns))
        self._prepare()
        total = 0
        for line in self.lines:
            total = self._decide(line, total)
        self._refuse_lots_twice()

    def _cells(self, rows, heading_row, columns):
        above: dict[str, str] = {}
        heads = rows[heading_row - 1] if heading_row else None
        for number, row in enumerate(rows, start=1):
            if number == heading_row:
                continue
            cells = {n: row[at] if at < len(row) else "" for n, at in columns.items()}
            line = Line(number, cells | dict(self.mended.get(str(number), {})))
            if row == heads:
                line.leave_out("the headings again")
            elif not any(row):
                line.leave_out("an empty row")
            elif TOTALS & {word for cell in row[:4] for word in words_of(cell)[:2]}:
                line.leave_out("a total row")
            else:
                self._fill_down(line.cells, above)
            yield line

    def _fill_down(self, cells, above):
        fills = self.answers.get("fill")
        for name in FILLED_DOWN:
            text = cells.get(name, "")
            if text in SAME_AS_ABOVE or (fills and not text):
                cells[name] = above.get(name, "")
            elif text:
                above[name] = text

    def _prepare(self):
        """Look at each column as a whole: dates, decimal marks, spellings of plants."""
        open_lines = [line for line in self.lines if line.fate == IN]

        def values(name):
            return [line.cells[name] for line in open_lines if line.cells.get(name)]

        plants = Counter(filter(None, map(_plant_in, open_lines)))
        answers = self.answers.get("plant", {})
        self.plants = PlantNames(plants, self.known.plants, self.known.common, answers)
        self.days = {
            name: DayReader(values(name), self.known.seasons, self.answers.get(name, {}))
            for name in ("since", "ready")
        }
        self.marks = {n: decimal_mark(values(n)) for n in ("cost_each", "cost_all", "price")}
        self.places = dict(self.known.places)
        self.pot = cache(self.known.pots.read)

    def _decide(self, line: Line, total: int) -> int:
        """Give a line its fate; `total` is what the rows above add up to."""
        if line.fate != IN:
            return total
        if line.cells.get("out"):
            line.leave_out("left out by you")
            return total
        number = self._quantity(line)
        if line.fate == OUT:
            return total
        if not _plant_in(line) and number == total and total:
            line.leave_out("a total row")
            return 0
        facts = {"quantity": number or 0}
        for read in (
            self._plant,
            self._container,
            self._place,
            self._texts,
            self._times,
            self._money,
        ):
            facts |= read(line, number or 0)
        if LEAVE_OUT in facts.values():
            line.leave_out("left out by you")
        elif line.fate == IN:
            line.standing = Standing(**facts)
        return total + (number or 0)

    def _quantity(self, line: Line) -> int | None:
        text = line.cells.get("quantity", "")
        number = whole_number(text)
        if number == 0:
            line.leave_out("nothing stands there")
        elif number is None and (any(sign.isdigit() for sign in text) or _is_some(line, text)):
            line.ask(f"How many? “{text}” is not a whole number of plants.", "quantity")
        elif number is None:
            line.leave_out(f"no number: “{text}”" if text else "no number")
        return number

    def _plant(self, line: Line, _) -> dict:
        spelling = _plant_in(line)
        if not spelling:
            line.ask("Which plant is it?", "plant")
            return {}
        if self.answers.get("plant", {}).get(spelling) == LEAVE_OUT:
            return {"plant": LEAVE_OUT}
        reading = self.plants.readings[spelling]
        if reading.is_open:
            offers = [(name, name) for name in reading.offers]
            keep = (reading.name, f"Keep {reading.name}")
            self._ask(
                line, "plant", spelling, f"Is “{spelling}” this plant?", [*offers, keep], True
            )
        elif _too_long(line, "plant", reading.name):
            return {}
        if reading.is_new:
            line.said.append("new plant")
        common = line.cells.get("common_name", "") if line.cells.get("plant") else ""
        return {"plant": reading.name, "common_name": common[: BY_NAME["common_name"].longest]}

    def _container(self, line: Line, _) -> dict:
        text = line.cells.get("container", "")
        answer = self.answers.get("container", {}).get(text, "")
        code = answer or self.pot(text)
        if code == LEAVE_OUT:
            return {"container": LEAVE_OUT}
        if code not in self.known.containers:
            near = self.known.pots.near(text)
            codes = sorted(self.known.containers, key=lambda one: one != near)
            offers = [(one, f"{one}, {self.known.containers[one].name}") for one in codes]
            words = (
                f"Which container is “{text}”?" if text else "Which container, where none is said?"
            )
            self._ask(line, "container", text, words, offers)
            return {}
        if not answer and code.casefold() != text.casefold():
            line.said.append(f"{text} is {code}")
        return {"container": self.known.containers[code]}

    def _place(self, line: Line, _) -> dict:
        text = line.cells.get("place", "")
        name = self.answers.get("place", {}).get(text) or text
        if not name or name.casefold() in self.places:
            return {"place": self.places.get(name.casefold(), "")}
        if _too_long(line, "place", name):
            return {}
        near = _near_place(name, self.places) if name == text else ""
        if near and text not in self.answers.get("place", {}):
            offers = [(near, near), (text, f"A new place, {text}")]
            self._ask(line, "place", text, f"Is “{text}” this place?", offers)
            return {}
        self.places[name.casefold()] = name
        line.said.append("new place")
        return {"place": name}

    def _texts(self, line: Line, _) -> dict:
        for name in ("lot", "grade"):
            _too_long(line, name, line.cells.get(name, ""))
        for name in ("plant", "place", "lot", "grade", "common_name"):
            if line.cells.get(name, "").startswith(FORMULA_STARTS):
                line.ask("A text does not begin with = + - or @, as a formula does.", name)
        lot, grade = line.cells.get("lot", ""), line.cells.get("grade", "")
        note = line.cells.get("note", "").lstrip("".join(FORMULA_STARTS) + " ")
        return {"lot": lot, "grade": grade, "note": note}

    def _times(self, line: Line, _) -> dict:
        facts = {"began_on": self.known.seasons.counted_on}
        if not line.cells.get("since"):
            line.said.append("age not said")
        elif since := self._read_day(line, "since"):
            facts = {"began_on": since.began_on, "transplanted_on": since.potted_on}
        ready = self._read_day(line, "ready")
        if ready and ready > self.known.seasons.counted_on:
            facts["ready_on"] = ready
        return facts

    def _read_day(self, line, name):
        text = line.cells.get(name, "")
        reader = self.days[name]
        try:
            if not text:
                return None
            return reader.since(text) if name == "since" else reader.day(text)
        except Unclear as error:
            if error.asks:
                offers = [
                    (DAY_FIRST, "The day, then the month"),
                    (MONTH_FIRST, "The month, then the day"),
                ]
                words = f"In dates such as “{text}”, what stands first?"
                self._ask(line, name, error.asks, words, offers)
            else:
                line.ask(str(error), name)
            return None

    def _money(self, line: Line, number: int) -> dict:
        each, in_all, price = (
            self._amount(line, name) for name in ("cost_each", "cost_all", "price")
        )
        if price is not None and price != round_to_currency(price, self.known.currency):
            line.ask(f"A price of {price.normalize():f} cannot be paid in coins.", "price")
        cost = in_all if in_all is not None else each and each * number
        return {"amount": cost, "price": price}

    def _amount(self, line, name):
        text = line.cells.get(name, "")
        found = amount(text, self.marks[name]) if text else None
        if text and found is None:
            two = reads_two_ways(text, self.marks[name])
            right = (
                "can be over a thousand or a little more than one; write 1250 or 1.25"
                if two
                else ("is no amount of money; write digits, as 3.25, or nothing")
            )
            line.ask(f"{BY_NAME[name].words}: “{text}” {right}.", name)
        return found

    def _refuse_lots_twice(self):
        first: dict[str, int] = {}
        for line in self.lines:
            code = line.standing.lot if line.standing else ""
            if not code:
                continue
            if code in self.known.lots:
                line.ask(
                    f"Lot {code} is in the ledger already. Write another code, or none.", "lot"
                )
            elif code in first:
                line.ask(
                    f"Lot {code} stands in row {first[code]} too. Write another code, or none.",
                    "lot",
                )
            first.setdefault(code, line.number)

    def _ask(self, line, kind, spelling, words, offers, is_free=False):
        key = (kind, spelling)
        if kind not in ("since", "ready"):
            offers = [*offers, (LEAVE_OUT, "Leave these rows out")]
        self.asked.setdefault(key, Question(kind, spelling, words, tuple(offers), is_free))
        self.asked_rows[key] += 1
        line.ask(words)

    @cached_property
    def questions(self) -> list[Question]:
        """What is asked for all rows of a spelling, the most rows first."""
        found = [
            Question(**(vars(question) | {"rows": self.asked_rows[key]}))
            for key, question in self.asked.items()
        ]
        return sorted(found, key=lambda question: -question.rows)

    def of_fate(self, fate: str) -> list[Line]:
        """Return the lines of one fate."""
        return [line for line in self.lines if line.fate == fate]

    @cached_property
    def standing(self) -> list[Standing]:
        """What comes in."""
        return [line.standing for line in self.of_fate(IN)]


def _plant_in(line: Line) -> str:
    return line.cells.get("plant") or line.cells.get("common_name", "")


def _is_some(line: Line, text: str) -> bool:
    """Tell "a few" of a plant from "sold out", and from a heading or a remark."""
    words = words_of(text)
    return bool(words and _plant_in(line) and not NONE_LEFT & set(words))


def _too_long(line: Line, name: str, text: str) -> bool:
    longest = BY_NAME[name].longest
    if len(text) > longest:
        line.ask(f"{BY_NAME[name].words}: write at most {longest} letters.", name)
    return len(text) > longest


def _near_place(name: str, places: Mapping[str, str]) -> str:
    """Return a place of nearly that name; places that differ in a number are two places."""
    numbers = [sign for sign in name if sign.isdigit()]
    like = [one for one in places if [sign for sign in one if sign.isdigit()] == numbers]
    near = get_close_matches(name.casefold(), like[:200], n=1, cutoff=NEAR_PLACE)
    return places[near[0]] if near else ""
