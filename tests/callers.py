"""Visitors of a server that runs in a process of its own: a browser without a screen."""

import json
from http.cookiejar import CookieJar
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener


class Caller:
    """One browser with its cookies, at one or more servers of a ledger."""

    def __init__(self, *ports: str):
        self.homes = [f"http://127.0.0.1:{port}" for port in ports]
        self.jar = CookieJar()
        self.opener = build_opener(HTTPCookieProcessor(self.jar))

    def get(self, path: str, *, at: int = 0) -> str:
        """Return a page as text."""
        with self.opener.open(self.homes[at] + path, timeout=60) as page:
            return page.read().decode(errors="replace")

    def post(self, path: str, fields: dict | str, *, at: int = 0) -> str:
        """Send a form, or JSON where it is text already, and return the page that answers."""
        csrf = next(cookie.value for cookie in self.jar if cookie.name == "csrftoken")
        data = fields if isinstance(fields, str) else urlencode(fields, doseq=True)
        kind = {"Content-Type": "application/json"} if isinstance(fields, str) else {}
        asked = Request(
            self.homes[at] + path, data.encode(), {"X-CSRFToken": csrf, **kind}, method="POST"
        )
        try:
            with self.opener.open(asked, timeout=60) as page:
                return page.read().decode(errors="replace")
        except HTTPError as error:
            raise AssertionError(f"{path}: {error.code} {error.read().decode()[:2000]}") from error

    def log_in(self, username: str, password: str) -> "Caller":
        """Come in by the door."""
        self.get("/accounts/login/")
        page = self.post("/accounts/login/", {"username": username, "password": password})
        assert "Log out" in page, page
        return self

    def sell(self, sale: dict, *, at: int = 0) -> dict:
        """Send one sale as the stand does and return what became of it."""
        said = json.loads(self.post("/sell/send/", json.dumps({"sales": [sale]}), at=at))
        (result,) = said["results"]
        return result
