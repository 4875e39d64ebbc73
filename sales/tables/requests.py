"""The list of what buyers asked for on the web."""

import django_tables2 as tables
from django.urls import reverse

from nursery.listing import ListTable, NumberColumn


class RequestTable(ListTable):
    """One row a request."""

    name = tables.Column(linkify=lambda record: reverse("sales:request", args=[record.pk]))
    received_at = tables.DateTimeColumn(format="j M Y, H:i", verbose_name="Came")
    plants = NumberColumn()
    is_held = tables.Column(verbose_name="State", orderable=False)
    email = tables.Column(verbose_name="E-mail", orderable=False, default="")
    phone = tables.Column(orderable=False, default="")

    def render_is_held(self, record):
        if record.is_held:
            return "held"
        return "put away" if record.is_put_away else "waits"

    caption = "Requests"
    empty_text = "No request waits."

    class Meta:
        order_by = ()
