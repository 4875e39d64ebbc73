"""The house as a Django app: its commands and its static files."""

from django.apps import AppConfig


class NurseryConfig(AppConfig):
    """Name the app."""

    name = "nursery"
    verbose_name = "Nursery"
