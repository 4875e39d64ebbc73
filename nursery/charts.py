"""Draw charts as SVG, in the colours of the pages and readable in grey.

    def draw(axes):
        bars(axes, ["labour", "medium"], [Series("in the tray", [0.4, 0.2], TONES[0])])

    return svg_response(svg(draw, width=640, height=240))

Serve it from an address of its own and show it by partials/chart.html. matplotlib is large, so
it is loaded only when something is drawn.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_cache_control

# The light colours of css/tokens.css; a picture keeps light paper on a dark page too.
PAPER, BARK, SOFT, LINE = "#fffdf8", "#2a231d", "#5c5145", "#d9d0be"
LEAF, CLAY, FROST = "#2b6636", "#9a3520", "#2a5a75"
# From dark to light in even steps of grey, so that a black and white print tells them apart.
TONES = ("#1e4a28", "#5f9a5f", "#9cc48e", "#e2edd8")
HATCHES = ("", "", "///", "")
A_WEEK, THREE_MONTHS = 7, 92
# Where matplotlib keeps how a day is written, after the year and the month.
DAY = 2
ROOMY, WIDE, NARROW = (1000, 300), (720, 300), (360, 300)
STYLE = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 13,
    "svg.fonttype": "path",
    "svg.hashsalt": "nursery",
    # A name with dollar signs in it is a name and no formula.
    "text.parse_math": False,
    "text.color": BARK,
    "axes.labelcolor": SOFT,
    "axes.edgecolor": LINE,
    "xtick.color": SOFT,
    "ytick.color": BARK,
    "hatch.linewidth": 0.8,
}


@dataclass(frozen=True)
class Series:
    """One tone of a chart: what it stands for and a value for each name."""

    name: str
    values: Sequence[float]
    tone: str = LEAF
    hatch: str = ""


def svg(draw: Callable, width: int = WIDE[0], height: int = WIDE[1]) -> bytes:
    """Return the picture that `draw(axes)` makes, `width` × `height` pixels large."""
    import matplotlib as mpl
    from matplotlib.figure import Figure

    with mpl.rc_context(STYLE):
        figure = Figure(figsize=(width / 72, height / 72), layout="constrained")
        # The page gives the paper, which is another in the dark and in print.
        figure.patch.set_alpha(0)
        axes = figure.add_subplot()
        plainly(axes)
        draw(axes)
        out = BytesIO()
        figure.savefig(out, format="svg", dpi=72, metadata={"Date": None})
    return _without_styles(out.getvalue())


def _without_styles(picture: bytes) -> bytes:
    """Write what matplotlib says in styles as SVG's own attributes, which mean the same.

    Some browsers hold a picture's styles to the policy that it is answered with, and that
    allows none.
    """
    picture = re.sub(rb"<style.*?</style>", b"", picture, count=1, flags=re.DOTALL)
    picture = picture.replace(b"<svg ", b'<svg stroke-linejoin="round" stroke-linecap="butt" ', 1)
    return re.sub(rb' style="([^"]*)"', _as_attributes, picture)


def _as_attributes(style: re.Match) -> bytes:
    pairs = (one.split(b":", 1) for one in style[1].split(b";") if one.strip())
    return b"".join(b' %s="%s"' % (name.strip(), value.strip()) for name, value in pairs)


def svg_response(content: bytes) -> HttpResponse:
    """Answer with an SVG that the reader's own browser may keep for a minute."""
    response = HttpResponse(content, content_type="image/svg+xml")
    patch_cache_control(response, private=True, max_age=60)
    return response


def size_asked(request: HttpRequest, height: int = WIDE[1]) -> tuple[int, int]:
    """Return width and height: for a phone or a wide desk where the address says so."""
    asked = {"narrow": NARROW, "roomy": ROOMY}
    width = next((size[0] for word, size in asked.items() if word in request.GET), WIDE[0])
    return (width, height)


def plainly(axes) -> None:
    """Take away frame and ticks: the words stand at the things themselves."""
    axes.patch.set_alpha(0)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.tick_params(length=0)
    axes.set_axisbelow(True)


def bars(
    axes,
    names: Sequence[str],
    series: Sequence[Series],
    write: Callable = str,
    *,
    botanical: bool = False,
) -> None:
    """Draw a lying bar for each name, first on top, its series one after another.

    `write` words the sum that stands at the end of each bar. Of `botanical` names the
    first line, which is Latin, is set in italics.
    """
    starts = [0.0] * len(names)
    for part in series:
        values = [float(value) for value in part.values]
        axes.barh(range(len(names)), values, left=starts, **_fill(part))
        starts = [start + value for start, value in zip(starts, values, strict=True)]
    for row, total in enumerate(starts):
        axes.annotate(write(total), (total, row), (6, 0), textcoords="offset points", va="center")
    axes.set_yticks(range(len(names)), names)
    if botanical:
        _italics(axes, names)
    axes.invert_yaxis()
    axes.set_xticks([])
    axes.spines["bottom"].set_visible(False)
    axes.margins(x=0.16)
    _legend(axes, series)


def ranges(
    axes,
    names: Sequence[str],
    percents: Sequence[float],
    bounds: Sequence[tuple[float, float]],
    write: Callable = str,
    *,
    botanical: bool = False,
) -> None:
    """Draw a lying bar of percent for each name, with a line between its bounds.

    `write` words the number that stands at the end of each line.
    """
    rows = range(len(names))
    axes.barh(rows, percents, color=TONES[2], edgecolor=PAPER, linewidth=1)
    axes.hlines(rows, [low for low, _ in bounds], [high for _, high in bounds], BARK, lw=2)
    for row, (value, (low, high)) in enumerate(zip(percents, bounds, strict=True)):
        axes.plot([low, high], [row, row], "|", color=BARK, ms=9, mew=2)
        axes.annotate(
            write(value), (max(value, high), row), (7, 0), textcoords="offset points", va="center"
        )
    axes.set_yticks(rows, names)
    if botanical:
        _italics(axes, names)
    axes.invert_yaxis()
    axes.set_xlim(0, 118)
    axes.set_xticks([])
    axes.spines["bottom"].set_visible(False)


def by_day(axes) -> None:
    """Name the days beneath a picture, as few as can be read: of a week at least, never hours."""
    from matplotlib.dates import DAILY, MONTHLY, YEARLY, AutoDateLocator, ConciseDateFormatter

    class Plainly(ConciseDateFormatter):
        def format_ticks(self, values):
            return [words.lstrip("0") for words in super().format_ticks(values)]

    first, last = axes.dataLim.intervalx
    if first > last:
        # Nothing is drawn, as of a lot whose beginning was undone.
        axes.set_xticks([])
        return
    days = max(last - first, A_WEEK)
    axes.set_xlim(first - days / 20, first + days * 21 / 20)
    # Days, then months, then years: where one ends the next begins, or matplotlib warns.
    fewest = 2 if days < THREE_MONTHS else 3
    locator = AutoDateLocator(minticks=fewest, maxticks={DAILY: 6, MONTHLY: 7, YEARLY: 6})
    formatter = Plainly(locator, show_offset=False)
    formatter.formats[DAY] = formatter.zero_formats[DAY] = "%d %b"
    axes.xaxis.set_major_locator(locator)
    axes.xaxis.set_major_formatter(formatter)


def columns(axes, names: Sequence[str], series: Sequence[Series], write: Callable = str) -> None:
    """Draw a standing bar for each name, its series one upon another."""
    floors = [0.0] * len(names)
    for part in series:
        values = [float(value) for value in part.values]
        axes.bar(range(len(names)), values, bottom=floors, **_fill(part))
        floors = [floor + value for floor, value in zip(floors, values, strict=True)]
    for place, total in enumerate(floors):
        if total:
            axes.annotate(
                write(total), (place, total), (0, 4), textcoords="offset points", ha="center"
            )
    axes.set_xticks(range(len(names)), names)
    axes.set_yticks([])
    axes.margins(y=0.14)
    _legend(axes, series)


def _italics(axes, names):
    """Write the first line of each name in italics, the second upright beneath it.

    A label has one style only, so that the two lines are labels of two kinds of ticks.
    """
    lines = [name.partition("\n") for name in names]
    latin = axes.set_yticks(range(len(names)), [first for first, _, _ in lines])
    axes.yaxis.remove_overlapping_locs = False
    cultivars = axes.set_yticks(range(len(names)), [last for *_, last in lines], minor=True)
    for tick, (_, broken, _) in zip(latin, lines, strict=True):
        tick.label1.set(style="italic", va="bottom" if broken else "center")
    axes.tick_params(axis="y", which="minor", length=0, pad=3.5, labelcolor=BARK)
    for tick in cultivars:
        tick.label1.set_va("top")


def _fill(part):
    return {
        "color": part.tone,
        "hatch": part.hatch,
        "edgecolor": PAPER,
        "linewidth": 1,
        "label": part.name,
    }


def _legend(axes, series):
    if len(series) > 1:
        axes.figure.legend(
            loc="outside upper left", ncols=len(series), frameon=False, handlelength=1.1
        )
