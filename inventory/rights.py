"""How long a plant's propagation right lasts."""

from datetime import date

from inventory.age import day_in_year

YEARS_FROM_FILING = 20


def last_day_of_patent(filed_on: date) -> date:
    """Return the last day of a US plant patent: 20 years from its filing, that day included.

    35 USC 154(a)(2), for applications from 8 June 1995 on, read with caution: the day itself
    is still blocked. A patent office or a lawyer knows of extensions and disclaimers.
    """
    return day_in_year(filed_on.year + YEARS_FROM_FILING, (filed_on.month, filed_on.day))
