"""What the verbs about buyers, their papers, links, prices and sales without signal are asked."""

from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from uuid import uuid4

from inventory.models import Plant
from sales import operations as sell
from sales.accounts import ACCOUNTS
from sales.labels.grid import Grid
from sales.models import (
    Buyer,
    BuyerLink,
    Certificate,
    CertificateFile,
    Contact,
    Document,
    HoldChange,
    LabelStock,
    PlantRequest,
    Price,
    SharedPaper,
    StandDay,
    TaxRate,
)
from sales.queries.public_list import kept_lines, public_list
from tests.fuzz.world import TODAY, WAYS, row

PDF = b"%PDF-1.7 a paper"


def _sent(world) -> dict:
    """Draw a sale as a phone kept it: always with a price."""
    items = [world.item() for _ in range(world.among(1, 1, 2))]
    items = [
        sell.Item(one.plant, one.container, one.quantity, one.lot, world.amount) for one in items
    ]
    clock = timedelta(minutes=world.among(0, 0, 5, 600))
    return {
        "sale": sell.SentSale(
            request_id=uuid4(),
            items=tuple(items),
            grades=tuple(one.lot.grade if one.lot else "" for one in items),
            made_at=datetime.combine(world.among(TODAY, world.day), time(9, 30), UTC),
            clock_off=clock,
            buyer=world.maybe(Buyer),
            paid_by=world.among("", *WAYS),
            note=world.words,
            stand=world.among(None, world.one(StandDay)),
        )
    }


def _facts(world) -> dict:
    return {
        "name": world.words or "Moss Garden",
        "kind": world.among("landscaper", "garden", "retail", ""),
        "email": world.words,
        "terms_days": world.among(0, 30, world.number),
        "discount_percent": world.among(Decimal(0), Decimal(2), world.amount),
        "discount_days": world.among(0, 10, world.number),
        "note": world.words,
    }


def _grid(world) -> Grid:
    return Grid(world.among("A4", "Letter", "roll"), 3, world.number, Decimal(60), world.amount)


DEALING = {
    sell.book_sent: _sent,
    sell.add_buyer: _facts,
    sell.change_buyer: lambda w: {"buyer": w.buyer, **_facts(w)},
    sell.split_buyer: row("buyer", Buyer),
    sell.erase_buyer: row("buyer", Buyer),
    sell.add_contact: lambda w: {
        "buyer": w.buyer,
        "name": w.words,
        "role": w.words,
        "email": w.words,
        "phone": w.words,
    },
    sell.remove_contact: row("contact", Contact),
    sell.put_contact_back: row("contact", Contact),
    sell.add_certificate: lambda w: {
        "buyer": w.buyer,
        "number": w.words,
        "issuer": w.words,
        "valid_from": w.day,
        "valid_until": w.among(None, w.day),
        "content": w.among(None, b"", PDF),
    },
    sell.remove_certificate: row("certificate", Certificate),
    sell.put_certificate_back: row("certificate", Certificate),
    sell.add_certificate_file: lambda w: {
        "certificate": w.one(Certificate),
        "content": w.among(PDF, b"MZ", b""),
    },
    sell.remove_certificate_file: row("file", CertificateFile),
    sell.put_certificate_file_back: row("file", CertificateFile),
    sell.undo_hold_change: lambda w: {"change": w.one(HoldChange), "on": w.day},
    sell.share_document: row("document", Document),
    sell.stop_sharing: row("shared", SharedPaper),
    sell.share_again: row("shared", SharedPaper),
    sell.undo_prices: lambda w: {"request_id": (w.one(Price) or Price()).request_id or uuid4()},
    sell.set_article_numbers: lambda w: {
        "numbers": [sell.NewNumber(w.one(Plant), w.size(), w.among("4006381333931", "", w.words))],
        "on": w.day,
    },
    sell.undo_article_numbers: lambda w: {"request_id": uuid4()},
    sell.drop_tax_rate: row("rate", TaxRate),
    sell.tax_plant: lambda w: {
        "plant": w.one(Plant),
        "kind": w.among("standard", "reduced", "zero", "none"),
    },
    sell.name_account: lambda w: {
        "key": w.among(ACCOUNTS[0].key, "nothing"),
        "code": w.words,
        "name": w.words,
    },
    sell.keep_label_stock: lambda w: {
        "name": w.words,
        "grid": _grid(w),
        "stock": w.among(None, w.one(LabelStock)),
    },
    sell.change_letterhead: lambda w: {"terms": w.words, "email": w.words, "country": w.words},
    sell.change_public_list: lambda w: {
        "is_on": w.yes,
        "greeting": w.words,
        "phone": w.words,
        "takes_requests": w.yes,
    },
    sell.refresh_public_list: lambda w: {},
    sell.make_buyer_link: lambda w: {"buyer": w.buyer, "last_on": w.among(TODAY, w.day)},
    sell.stop_buyer_link: row("link", BuyerLink),
    sell.restart_buyer_link: row("link", BuyerLink),
    sell.ask_for_plants: lambda w: {
        "name": w.words,
        "wishes": [sell.Wish(line, w.number) for line in kept_lines(public_list())[:2]],
        "origin": "a",
        "email": w.words,
        "phone": w.words,
        "message": w.words,
        "buyer": w.maybe(Buyer),
    },
    sell.put_request_away: row("asked", PlantRequest),
    sell.take_request_up: row("asked", PlantRequest),
    sell.forget_requests: lambda w: {},
}
