"""The app's configuration."""

from django.apps import AppConfig


class SalesConfig(AppConfig):
    """Name the app."""

    name = "sales"
    verbose_name = "Sales"
