"""The list of targets, and what to do for each."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.tables.columns import PlantColumn
from inventory.targets import by_words, day_words, week_words
from nursery.listing import ListTable, NumberColumn
from nursery.templatetags.nursery_tags import plain

WIDE = {"td": {"class": "whole unlabelled wide"}}
LAST = {"td": {"class": "whole unlabelled last"}}


class TargetTable(ListTable):
    """One row a target: what is wanted, and what to do for it."""

    plant = PlantColumn(accessor="target__plant")
    wanted = NumberColumn(accessor="target__quantity")
    container = tables.Column(verbose_name="In", accessor="target__container")
    ready_by = tables.Column(verbose_name="By", accessor="target__ready_by")
    growing = NumberColumn(verbose_name="Sure already", accessor="answer__sure")
    to_stick = NumberColumn(verbose_name="Still to stick", accessor="answer__to_stick")
    stick_on = tables.Column(verbose_name="Stick on", accessor="answer__stick_on")
    todo = tables.Column(verbose_name="To do", empty_values=(), attrs=LAST)

    caption = "What is wanted, and what to do for it"

    class Meta:
        orderable = False

    def before_render(self, request):
        self.columns.hide("to_stick")
        self.columns.hide("stick_on")

    def render_ready_by(self, value):
        return by_words(value)

    def value_ready_by(self, value):
        return value

    def value_stick_on(self, value):
        return value

    def render_todo(self, record):
        address = reverse("sales:target", args=[record.target.pk])
        return format_html('<a class="alone" href="{}">{}</a>', address, to_do_words(record))

    def value_todo(self, record):
        return to_do_words(record)


def to_do_words(plan) -> str:
    """Say in a few words what to do for a target."""
    found = plan.answer
    if plan.is_met:
        return "Nothing to stick"
    if plan.is_out_of_reach:
        return "Out of reach: too few come through"
    if not plan.is_late:
        return f"Stick {plain(found.to_stick)} {week_words(plan.week)}"
    if plan.can_buy:
        return f"Too late to stick: buy {plain(found.to_buy)} liners by {day_words(found.pot_on)}"
    return f"Too late. Stuck at the next right time: ready by {by_words(plan.next_ready)}"
