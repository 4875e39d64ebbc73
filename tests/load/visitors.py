"""People who use the ledger over the network at once: they sell, undo, return and read.

Each is a thread with a session of its own, and keeps a `Sample` of every page it asked for.
What a seller was told is sold is kept as `Told`, to be looked for in the ledger afterwards.
"""

import random
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import urljoin

import requests
from lxml import html

TIMEOUT = 60
READ = {
    "today": "/",
    "free to sell": "/availability/",
    "lots": "/lots/",
    "growing": "/growing/",
    "invoices": "/invoices/",
    "buyers": "/buyers/",
    "holds": "/holds/",
    "search": "/search/?q=thuja",
}
PUBLIC = "/list/"


@dataclass(frozen=True)
class Sample:
    """One page asked for: what kind, how long it took in seconds, what was answered."""

    kind: str
    seconds: float
    status: int | str


@dataclass(frozen=True)
class Told:
    """A sale the seller was shown as made: the document's address and number of plants."""

    address: str
    plants: int


@dataclass
class Visitor:
    """Somebody with a browser. `pause` is the shortest and longest time between two pages."""

    address: str
    name: str
    password: str
    pause: tuple[float, float]
    seed: int
    arrives_within: float = 1
    samples: list[Sample] = field(default_factory=list)
    told: list[Told] = field(default_factory=list)
    undone: list[str] = field(default_factory=list)
    acts: int = 0
    refusals: int = 0
    troubles: list[str] = field(default_factory=list)

    def __post_init__(self):
        self.luck = random.Random(self.seed)
        self.session = requests.Session()

    def stay(self, ended: Callable[["Visitor"], bool]) -> None:
        """Log in and go on until it has ended for them."""
        # A log-in is made costly on purpose: nobody's staff comes in the same second.
        time.sleep(self.luck.uniform(0, self.arrives_within))
        try:
            self.log_in()
            while not ended(self):
                self.act()
                self.acts += 1
                time.sleep(self.luck.uniform(*self.pause))
        except requests.RequestException as error:
            self.troubles.append(f"{self.name}: {error}")

    def act(self) -> None:
        """Do one thing."""
        raise NotImplementedError

    def log_in(self) -> None:
        """Log in as a person does, by the form."""
        page = self.get("log in", "/accounts/login/")
        (form,) = [form for form in page.forms if "username" in form.fields]
        self.send("log in", form, username=self.name, password=self.password)

    def get(self, kind: str, path: str):
        """Open a page and return it parsed; None for what is no page."""
        return self._asked(kind, "GET", urljoin(self.address, path))

    def send(self, kind: str, form, **fields):
        """Fill in a form as it stands on its page, and send it."""
        data = {**dict(form.form_values()), **fields}
        address = urljoin(form.base_url or self.address, form.get("action") or "")
        return self._asked(kind, "POST", address, data=data, headers={"Referer": address})

    def _asked(self, kind, method, address, **more):
        began = time.perf_counter()
        answer = self.session.request(method, address, timeout=TIMEOUT, **more)
        self.samples.append(Sample(kind, time.perf_counter() - began, answer.status_code))
        if answer.status_code >= 400:
            self.troubles.append(f"{method} {answer.url}: {answer.status_code}")
        if not answer.headers.get("Content-Type", "").startswith("text/html"):
            return None
        return html.fromstring(answer.text, base_url=answer.url)


class Reader(Visitor):
    """Looks at lists and at single lots and invoices; sometimes at a paper."""

    def act(self) -> None:
        """Open a list, and one of what it leads to."""
        kind = self.luck.choice([*READ, "lots", "invoices"])
        page = self.get(kind, READ[kind])
        inside = {"lots": "/lots/", "invoices": "/invoices/"}.get(kind)
        links = [link for link in hrefs(page) if inside and link.startswith(inside)]
        links = [link for link in links if link.rstrip("/").count("/") == 2 and "?" not in link]
        if links:
            link = self.luck.choice(links)
            self.get(f"one of {kind}", link)
            if kind == "invoices" and self.luck.random() < 0.1 and link[-2].isdigit():
                self.get("paper", f"{link}paper.pdf")


class Seller(Visitor):
    """Sells one to three kinds of plants, the popular first; now and then takes it back."""

    def act(self) -> None:
        """Sell something, and sometimes undo it."""
        page = self.get("sell", "/sell/")
        keys = [key for key in page.xpath("//button[@name='more']/@value") if key[:1].isdigit()]
        if not keys:
            self.get("free to sell", READ["free to sell"])
            return
        chosen = self.luck.sample(keys[:6], min(len(keys), self.luck.randint(1, 3)))
        basket = {f"n-{key}": self.luck.randint(1, 3) for key in chosen}
        query = "&".join(f"{name}={number}" for name, number in basket.items())
        page = self.get("sell, chosen", f"/sell/?{query}")
        answer = self.send("sell, paid", form_with(page, "paid_by"), paid_by="cash")
        if "/invoices/" not in answer.base_url:
            self.refusals += 1
            return
        self.told.append(Told(answer.base_url.partition("?")[0], sum(basket.values())))
        if self.luck.random() < 0.08:
            self._undo(answer)

    def _undo(self, page):
        forms = [form for form in page.forms if (form.get("action") or "").endswith("/undo/")]
        if forms:
            self.send("undo", forms[0])
            self.undone.append(self.told[-1].address)


def form_with(page, button: str):
    """Return the form of a page that has such a button."""
    (form, *_) = [form for form in page.forms if form.xpath(f".//button[@name='{button}']")]
    return form


def hrefs(page) -> list[str]:
    """Return where a page's links lead, within the ledger."""
    return [link for link in page.xpath("//main//a/@href") if link.startswith("/")]


def for_minutes(minutes: float) -> Callable[[Visitor], bool]:
    """End for everybody after so long from now."""
    until = time.monotonic() + 60 * minutes
    return lambda visitor: time.monotonic() > until


def together(visitors: list[Visitor], ended: Callable[[Visitor], bool]) -> None:
    """Let all of them use the ledger at once, each until it has ended for them."""
    threads = [threading.Thread(target=one.stay, args=(ended,), daemon=True) for one in visitors]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
