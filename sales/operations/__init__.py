"""The verbs of selling: the only code of this app that writes."""

from sales.operations.account import (
    give_back,
    keep_on_account,
    let_go,
    take_on_account,
    use_account,
)
from sales.operations.accounts import name_account
from sales.operations.articles import NewNumber, set_article_numbers, undo_article_numbers
from sales.operations.buyers import add_buyer, change_buyer, merge_buyers, split_buyer
from sales.operations.certificate_files import (
    add_certificate_file,
    put_certificate_file_back,
    remove_certificate_file,
)
from sales.operations.certificates import (
    add_certificate,
    put_certificate_back,
    remove_certificate,
)
from sales.operations.contacts import add_contact, put_contact_back, remove_contact
from sales.operations.deposits import give_deposit_back, take_deposit
from sales.operations.erasing import erase_buyer
from sales.operations.holds import (
    DepositPaid,
    Wanted,
    add_to_hold,
    change_hold,
    hold,
    let_go_of_hold,
    sell_held,
    undo_hold_change,
)
from sales.operations.labels import (
    keep_label_stock,
    share_again,
    share_document,
    stop_sharing,
)
from sales.operations.letterhead import change_letterhead
from sales.operations.pay import pay, pay_several, undo_payment
from sales.operations.price import NewPrice, set_prices, undo_prices
from sales.operations.public_list import (
    change_public_list,
    make_buyer_link,
    refresh_public_list,
    restart_buyer_link,
    stop_buyer_link,
)
from sales.operations.requests import (
    Wish,
    ask_for_plants,
    forget_requests,
    put_request_away,
    take_request_up,
)
from sales.operations.sell import Item, sell
from sales.operations.sent import SentSale, book_sent
from sales.operations.stand import bring_back, move_money, open_stand, put_out
from sales.operations.stand_closing import Left, close_stand, undo_stand_step
from sales.operations.take_back import take_back, undo_sale
from sales.operations.tax_rates import drop_tax_rate, set_tax_rate, tax_plant

__all__ = [
    "DepositPaid",
    "Item",
    "Left",
    "NewNumber",
    "NewPrice",
    "SentSale",
    "Wanted",
    "Wish",
    "add_buyer",
    "add_certificate",
    "add_certificate_file",
    "add_contact",
    "add_to_hold",
    "ask_for_plants",
    "book_sent",
    "bring_back",
    "change_buyer",
    "change_hold",
    "change_letterhead",
    "change_public_list",
    "close_stand",
    "drop_tax_rate",
    "erase_buyer",
    "forget_requests",
    "give_back",
    "give_deposit_back",
    "hold",
    "keep_label_stock",
    "keep_on_account",
    "let_go",
    "let_go_of_hold",
    "make_buyer_link",
    "merge_buyers",
    "move_money",
    "name_account",
    "open_stand",
    "pay",
    "pay_several",
    "put_certificate_back",
    "put_certificate_file_back",
    "put_contact_back",
    "put_out",
    "put_request_away",
    "refresh_public_list",
    "remove_certificate",
    "remove_certificate_file",
    "remove_contact",
    "restart_buyer_link",
    "sell",
    "sell_held",
    "set_article_numbers",
    "set_prices",
    "set_tax_rate",
    "share_again",
    "share_document",
    "split_buyer",
    "stop_buyer_link",
    "stop_sharing",
    "take_back",
    "take_deposit",
    "take_on_account",
    "take_request_up",
    "tax_plant",
    "undo_article_numbers",
    "undo_hold_change",
    "undo_payment",
    "undo_prices",
    "undo_sale",
    "undo_stand_step",
    "use_account",
]
