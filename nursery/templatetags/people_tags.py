"""Ask on a page what the person who reads it is, and may do.

{{ user|role }}                                    grower, or nothing where none was given
{% if user|may_open:"/books/" %}                   whether a link leads them anywhere
{% if user|may_send:"/lots/7/move/" %}             whether a button would be refused
"""

from django import template

from nursery.people.rights import may_go
from nursery.people.roles import role_of

register = template.Library()


@register.filter
def role(user) -> str:
    """Return a person's role, in a word."""
    return role_of(user) or ""


@register.filter
def may_open(user, address: str) -> bool:
    """Say whether a person may open an address."""
    return may_go(user, address)


@register.filter
def may_send(user, address: str) -> bool:
    """Say whether a person may send something to an address."""
    return may_go(user, address, "POST")
