"""Leave out of a page what leads where its reader may not go.

Links, buttons and pictures are many, and a page may be made by who never thought of roles. So no
page asks: the finished page is read once, each address in it is looked up in the table of rights,
and what would be refused is left out. An owner's page is not read at all.

- A button (`a.button`), a link of a menu and a row of a list that is one link go whole; other
  links stay as words. A list marked `data-stays` keeps its rows as words, for they tell something.
- A form that would be refused goes, and a picture with the figure around it.
- What held nothing else goes too: the list, its heading, the paragraph.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from itertools import takewhile

from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest, HttpResponse

from nursery.people.asking import ANYONE
from nursery.people.rights import PAGES, may_go

NEVER_CLOSED = frozenset(
    {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr"}
)
HOLDERS = frozenset({"li", "ul", "ol", "p", "nav", "details", "div", "section", "figure"})
HEADINGS = ("h2", "h3", "h4")
BETWEEN = frozenset("·|,.")
ADDRESS = re.compile(r'\s(?:href|src|action|formaction)="(/[^"]*)"')
FORM = re.compile(r"<form\b[^>]*")


@dataclass(eq=False)
class Piece:
    """An element of a page: where it begins and ends, in letters, and what it holds."""

    tag: str
    attrs: dict[str, str | None]
    start: int
    inside: int
    parent: "Piece | None" = None
    end: int = 0
    after: int = 0
    pieces: list["Piece"] = field(default_factory=list)
    text: bool = False
    gone: bool = False

    @property
    def classes(self) -> list[str]:
        return (self.attrs.get("class") or "").split()

    def is_under(self, test: Callable[["Piece"], bool]) -> bool:
        """Say whether an element around it is such."""
        around = self.parent
        while around and not test(around):
            around = around.parent
        return around is not None

    def every(self) -> Iterator["Piece"]:
        """Yield all elements in it, the inner before the outer."""
        for piece in self.pieces:
            yield from piece.every()
            yield piece


class Reader(HTMLParser):
    """Read a page into pieces."""

    def __init__(self, page: str):
        super().__init__(convert_charrefs=False)
        self.lines = [0]
        for line in page.split("\n"):
            self.lines.append(self.lines[-1] + len(line) + 1)
        self.top = self.open = Piece("", {}, 0, 0, end=len(page), after=len(page))
        self.feed(page)
        self.close()

    def at(self) -> int:
        line, column = self.getpos()
        return self.lines[line - 1] + column

    def handle_starttag(self, tag, attrs):
        start = self.at()
        inside = start + len(self.get_starttag_text())
        piece = Piece(tag, dict(attrs), start, inside, self.open, inside, inside)
        self.open.pieces.append(piece)
        if tag not in NEVER_CLOSED:
            self.open = piece

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in NEVER_CLOSED:
            self.open = self.open.parent

    def handle_endtag(self, tag):
        around = self.open
        while around.parent and around.tag != tag:
            around = around.parent
        if around.parent:
            around.end, around.after = self.at(), self.at() + len(f"</{tag}>")
            self.open = around.parent

    def handle_data(self, data):
        self.open.text |= bool(set(data) - BETWEEN - set(" \t\r\n"))

    def handle_entityref(self, name):
        self.open.text = True

    handle_charref = handle_entityref


def without_dead_ends(page: str, user: AbstractBaseUser, path: str) -> str:
    """Return a page, found at a path, without what its reader would be refused."""
    if not _may_hold_dead_ends(page, user, path):
        return page
    pieces, cuts = list(Reader(page).top.every()), []
    refused = [piece for piece in pieces if _is_refused(piece, user, path)]
    # What stands elsewhere and belongs to a form goes with it.
    forms = {form.attrs["id"] for form in refused if form.tag == "form" and "id" in form.attrs}
    refused += [piece for piece in pieces if piece.attrs.get("form") in forms]
    for piece in pieces:
        if piece not in refused:
            piece.gone = _held_nothing_else(piece)
        elif piece.tag == "a" and not _is_way(piece):
            cuts += _as_words(piece)
        else:
            _around(piece).gone = True
        _take_headings(piece)
    cuts += [(piece.start, piece.after, "") for piece in pieces if piece.gone]
    return _cut(page, cuts)


def _may_hold_dead_ends(page: str, user: AbstractBaseUser, path: str) -> bool:
    """Say whether some address is refused; most long lists hold none, and reading takes long."""
    forms = [form for form in FORM.findall(page) if 'method="post"' in form.lower()]
    posted = {address for form in forms for address in ADDRESS.findall(form) or [path]}
    asked = [("POST", posted), ("GET", {*ADDRESS.findall(page)})]
    return not all(may_go(user, one, method) for method, all_of in asked for one in all_of)


def _is_refused(piece: Piece, user: AbstractBaseUser, path: str) -> bool:
    """Say whether an element leads where the person may not go."""
    attrs = piece.attrs
    match piece.tag:
        case "a":
            address, method = attrs.get("href"), "GET"
        case "img":
            address, method = attrs.get("src"), "GET"
        case "form":
            address, method = attrs.get("action") or path, (attrs.get("method") or "get").upper()
        case "button" if "formaction" in attrs:
            address, method = attrs["formaction"], "GET"
        case _:
            return False
    # Other hosts, and the page itself with another query, are no matter of rights.
    return bool(address) and address.startswith("/") and not may_go(user, address, method)


def _is_way(link: Piece) -> bool:
    """Say whether a link only leads on, and tells nothing that is worth reading without it."""
    if "button" in link.classes or link.is_under(lambda one: one.tag == "nav"):
        return True
    if link.is_under(lambda one: "data-stays" in one.attrs):
        return False
    row = link.parent
    alone = not row.text and len(row.pieces) == 1
    return alone and (row.tag == "li" or (row.tag == "p" and "alone" in link.classes))


def _around(piece: Piece) -> Piece:
    """Return what goes with an element: with a picture the figure that tells of it."""
    around = piece
    while piece.tag == "img" and around and around.tag != "figure":
        around = around.parent
    return around or piece


def _as_words(link: Piece) -> list[tuple[int, int, str]]:
    """Return the cuts by which a link becomes the words in it, and a row stays a row."""
    row = link.parent.tag == "li"
    opened, closed = ('<div class="row">', "</div>") if row else ("", "")
    return [(link.start, link.inside, opened), (link.end, link.after, closed)]


def _held_nothing_else(piece: Piece) -> bool:
    """Say whether all that an element held is gone; a headline or a summary is no content."""
    if piece.gone or piece.tag not in HOLDERS or piece.text:
        return piece.gone
    held = [one for one in piece.pieces if one.tag not in (*HEADINGS, "summary")]
    return bool(held) and all(one.gone for one in held)


def _take_headings(piece: Piece) -> None:
    """Let a heading go when everything beneath it is gone; lesser headings are no content."""
    for place, heading in enumerate(piece.pieces):
        if heading.tag in HEADINGS:
            told = _told_beneath(heading, piece.pieces[place + 1 :])
            heading.gone |= bool(told) and all(one.gone for one in told)


def _told_beneath(heading: Piece, rest: list[Piece]) -> list[Piece]:
    """Return what stands between a heading and the next one that is as high."""
    as_high = HEADINGS[: HEADINGS.index(heading.tag) + 1]
    beneath = takewhile(lambda one: one.tag not in as_high, rest)
    return [one for one in beneath if one.tag not in HEADINGS]


def _cut(page: str, cuts: list[tuple[int, int, str]]) -> str:
    """Return the page with stretches of it replaced; a stretch within another goes with it."""
    kept, done = [], 0
    for start, end, instead in sorted(cuts, key=lambda cut: (cut[0], -cut[1])):
        if start >= done:
            kept += [page[done:start], instead]
            done = end
    return "".join([*kept, page[done:]])


class LeaveOutDeadEnds:
    """Show to everybody but an owner the page without what they would be refused."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if _is_page(response) and _is_read_by_a_helper(request):
            page = response.content.decode(response.charset)
            response.content = without_dead_ends(page, request.user, request.path)
        return response


def _is_page(response: HttpResponse) -> bool:
    kind = response.get("Content-Type", "")
    return not response.streaming and kind.startswith("text/html")


def _is_read_by_a_helper(request: HttpRequest) -> bool:
    """Say whether somebody who is no owner reads. A visitor of an open page is asked nothing."""
    match = getattr(request, "resolver_match", None)
    asks = match and PAGES.get(match.view_name)
    is_open = asks is not None and asks.read == ANYONE
    if is_open or not hasattr(request, "user"):
        return False
    return request.user.is_authenticated and not request.user.is_superuser
