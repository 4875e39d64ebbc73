"""The app's configuration."""

from django.apps import AppConfig


class InventoryConfig(AppConfig):
    """Name the app."""

    name = "inventory"
    verbose_name = "Inventory"
