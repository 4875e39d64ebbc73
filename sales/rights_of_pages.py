"""What each page of the selling side asks. nursery/people/rights.py puts the tables together."""

from inventory.rights_of_pages import BOOKS, CLOSE, COSTS, PLANS, RAISING, REOPEN, SETTLE, STOCK
from nursery.people.asking import ANYONE, Asks, Right, entering, named, reading

PRICES = Right("sales.view_price", "see prices")
SALES = Right("sales.view_document", "see sales")
HOLDS = Right("sales.view_hold", "see holds")
STAND = Right("sales.view_standday", "see stand days")
BUYERS = Right("sales.view_buyer", "see buyers")
PAYMENTS = Right("sales.view_payment", "see what is paid and owed")
REQUESTS = Right("sales.view_plantrequest", "see what buyers ask for")
TAXES = Right("sales.view_taxrate", "see tax rates")
SELL = Right("sales.add_document", "sell plants")
PROMISE = Right("sales.add_hold", "hold plants for buyers")
CHANGE_PROMISES = Right("sales.change_hold", "change holds")
OPEN_STAND = Right("sales.add_standday", "open a stand day")
RUN_STAND = Right("sales.change_standday", "run a stand day")
WRITE_BUYERS = Right("sales.add_buyer", "write down buyers")
ERASE_BUYERS = Right("sales.delete_buyer", "hand over or erase all that is kept of a buyer")
CHANGE_BUYERS = Right("sales.change_buyer", "change buyers")
LINK_BUYERS = Right("sales.add_buyerlink", "make links for buyers")
TAKE_MONEY = Right("sales.add_payment", "take payments")
ANSWER = Right("sales.change_plantrequest", "answer what buyers ask for")
PRICE = Right("sales.add_price", "set prices")
NUMBER = Right("sales.add_articlenumber", "give article numbers")
TAX = Right("sales.change_taxrate", "set tax rates")
MEASURE_LABELS = Right("sales.change_labelstock", "measure label sheets")
PUBLISH = Right("sales.change_publiclist", "change the list on the web")
NAME_ACCOUNTS = Right("sales.change_accountname", "name the accounts of the journal")

RIGHTS = {
    reading(ANYONE): """
        stand-worker stand-manifest shared shared-pdf public-list public-feed public-calendar
        buyer-calendar public-photo buyer-list
    """,
    entering(ANYONE): "public-ask buyer-ask",
    reading(STOCK): """
        scanned availability labels labels-sheet label-stock-list logo
    """,
    reading(RAISING): "week-sheet",
    reading(PLANS): "target",
    reading(COSTS): "losses losses-chart",
    reading(PRICES): "offer offer-file",
    Asks(read=PRICES, write=PRICE): "prices",
    entering(PRICE): "undo-prices",
    entering(NUMBER): "articles undo-articles",
    reading(SALES): "document-list document document-xml document-pdf delivery-pdf",
    entering(SELL): """
        sell sell-shell sell-data sell-send sell-waiting take-back undo-sale hand-over
        share share-stop share-again
    """,
    reading(STAND): "stand-list stand-chart stand-day stand-sheet",
    entering(OPEN_STAND): "stand-open",
    entering(RUN_STAND): """
        stand-put-out stand-bring-back stand-money stand-close undo-stand-step
    """,
    reading(HOLDS): "hold-list hold hold-pick-list",
    entering(PROMISE): "hold-add",
    entering(CHANGE_PROMISES): "hold-more hold-change hold-let-go undo-hold",
    reading(BUYERS): "buyers buyer certificate-file",
    entering(WRITE_BUYERS): "buyer-add",
    reading(ERASE_BUYERS): "buyer-facts",
    entering(ERASE_BUYERS): "buyer-erase",
    entering(CHANGE_BUYERS): """
        buyer-edit same-buyer two-buyers contact-add contact-remove contact-back
        certificate-add certificate-remove certificate-back
        certificate-file-add certificate-file-remove certificate-file-back
    """,
    entering(LINK_BUYERS): "link-make link-stop link-back",
    reading(PAYMENTS): "owed statement statement-pdf reminder",
    entering(TAKE_MONEY): """
        pay pay-buyer buyer-account hold-deposit document-account undo-payment
    """,
    reading(REQUESTS): "request-list request",
    entering(ANSWER): "request-put-away request-back",
    entering(MEASURE_LABELS): "label-stock-add label-stock-edit",
    Asks(read=TAXES, write=TAX): "settings-tax",
    entering(TAX): "tax-plant undo-tax",
    entering(PUBLISH): "settings-list",
    entering(SETTLE): "settings-letterhead",
    reading(BOOKS): """
        books margin margin-chart long-in-pot demand demand-chart valuation closing
        year year-pdf year-chart journal taxed taxed-pdf space conservation
    """,
    entering(CLOSE): "closing-close",
    entering(REOPEN): "closing-reopen",
    entering(NAME_ACCOUNTS): "accounts",
}

PAGES = named("sales", RIGHTS)
