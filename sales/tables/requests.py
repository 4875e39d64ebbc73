"""The list of what buyers asked for on the web."""

import django_tables2 as tables
from django.urls import reverse

from nursery.listing import ListTable, NumberColumn


class RequestTable(ListTable):
    """One row a request."""

    name = tables.Column(linkify=lambda record: reverse("sales:request", args=[record.pk]))
    received_at = tables.DateTimeColumn(format="j M Y, H:i", verbose_name="Came")
    plants = NumberColumn()
    email = tables.Column(verbose_name="E-mail", orderable=False, default="")
    phone = tables.Column(orderable=False, default="")

    caption = "Requests"
    empty_text = "No request waits."

    class Meta:
        order_by = ()
