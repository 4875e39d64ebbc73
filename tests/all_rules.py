"""Every rule that the database keeps, from the files that try them."""

from tests.calendar_rules import CALENDAR_RULES
from tests.door_rules import DOOR_RULES
from tests.hold_rules import HOLD_RULES
from tests.label_rules import LABEL_RULES
from tests.method_rules import METHOD_RULES
from tests.photo_rules import PHOTO_RULES
from tests.price_rules import PRICE_RULES
from tests.public_rules import PUBLIC_RULES
from tests.size_rules import SIZE_RULES
from tests.stand_rules import STAND_RULES
from tests.supply_rules import SUPPLY_RULES
from tests.tax_rules import TAX_RULES
from tests.watch_rules import WATCH_RULES

RULES = {
    **PRICE_RULES,
    **SUPPLY_RULES,
    **TAX_RULES,
    **HOLD_RULES,
    **STAND_RULES,
    **LABEL_RULES,
    **PUBLIC_RULES,
    **PHOTO_RULES,
    **CALENDAR_RULES,
    **METHOD_RULES,
    **SIZE_RULES,
    **WATCH_RULES,
    **DOOR_RULES,
}
