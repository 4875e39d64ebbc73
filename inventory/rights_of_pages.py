"""What each page of the growing side asks. nursery/people/rights.py puts the tables together.

What asks to be entered may be opened by whoever may send it: a form shows nothing that is not
on the page it belongs to.
"""

from nursery.people.asking import Asks, Right, entering, named, reading

STOCK = Right("inventory.view_lot", "see plants, lots and what is available")
RAISING = Right("inventory.view_batch", "see how plants are raised")
COSTS = Right("inventory.view_costentry", "see what plants cost")
PLANS = Right("inventory.view_target", "see what is planned")
BOOKS = Right("inventory.view_closing", "read the books")
ENTER = Right("inventory.add_operation", "enter what happens to plants")
NAME = Right("inventory.change_plant", "change plants, places, methods and other lists")
PICTURE = Right("inventory.add_photo", "add pictures")
TAKE_PICTURES_OFF = Right("inventory.change_photo", "take pictures off")
TICK = Right("inventory.add_stepdone", "tick work off")
NOTE = Right("inventory.add_benchnote", "note what is seen on a bench")
SPRAY = Right("inventory.add_spraying", "enter sprayings")
SUBSCRIBE = Right("inventory.add_calendarlink", "make a link to the calendar")
CLOSE = Right("inventory.add_closing", "close the year")
REOPEN = Right("inventory.delete_closing", "open closed days again")
SETTLE = Right("inventory.change_nursery", "change the settings")

RIGHTS = {
    reading(STOCK): """
        growing search lot-list lot lot-life-chart plant-list plant photo photo-tiny
        place-list container-list
    """,
    reading(RAISING): """
        batch-list batch entry-list stock-plant-list works
        ready-ahead ready-chart room-ahead room-chart
        rooting rooting-chart rooting-compare rooting-batches rooting-batches-chart
        survival survival-chart survival-groups-chart
        method-list method hormone
    """,
    reading(COSTS): """
        lot-chart batch-chart recipe-list person-list notebook-done
        supply-list supply supply-chart supply-use bill-list bill paid-ahead-list paid-ahead
    """,
    reading(PLANS): "target-list",
    entering(ENTER): """
        begin root-count pot-up move count blend take-out add-cost ready-on ready-back
        measure grade grade-back write-off undo
        supply-import supply-buy supply-count supply-undo
        bill-add bill-undo paid-ahead-add paid-ahead-charge paid-ahead-undo
        notebook notebook-rows notebook-columns notebook-row notebook-bring-in notebook-forget
    """,
    entering(NAME): """
        plant-add plant-edit batch-edit place-add place-edit container-edit stock-plant-add
        expected-loss-back supply-add supply-edit recipe-edit person-add person-edit
        target-add target-edit target-remove target-back target-change-back
        method-add method-edit method-copy method-remove method-back starter-copy
        step-add step-edit step-remove step-back
    """,
    Asks(read=COSTS, write=NAME): "expected-losses",
    entering(PICTURE): "photo-add lot-photo-add",
    entering(TAKE_PICTURES_OFF): "photo-remove photo-back",
    entering(TICK): "batch-step steps-done steps-undo",
    Asks(read=STOCK, write=NOTE): "place",
    entering(NOTE): "bench-note-remove bench-note-back",
    entering(SPRAY): "spraying-add spraying-remove spraying-back",
}

PAGES = named("inventory", RIGHTS)
