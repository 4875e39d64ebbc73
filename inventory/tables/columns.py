"""Columns that several lists of the growing side share."""

import django_tables2 as tables
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.html import format_html

CODE = {"cell": {"class": "code"}}
WHOLE = {"td": {"class": "whole unlabelled wide"}}


class CodeColumn(tables.Column):
    """A code that leads to its page."""

    def __init__(self, page: str, *args, **kwargs):
        self.page = page
        super().__init__(*args, **{"attrs": CODE, **kwargs})

    def render(self, value, record):
        return format_html('<a href="{}">{}</a>', reverse(self.page, args=[record.pk]), value)

    def value(self, value):
        return str(value)


class PlantColumn(tables.Column):
    """A plant's botanical name with its common name beneath, ordered as names are."""

    def __init__(self, *args, **kwargs):
        kwargs = {"attrs": WHOLE, "order_by": "plant__search_key", **kwargs}
        super().__init__(*args, **kwargs)

    def render(self, value):
        return render_to_string("partials/plant_name.html", {"plant": value})

    def value(self, value):
        return str(value)
