"""The house as a Django app: its commands and its static files."""

from django.apps import AppConfig


class NurseryConfig(AppConfig):
    """Name the app."""

    name = "nursery"
    verbose_name = "Nursery"

    def ready(self):
        # Its signals must be connected before the first request, or that one asks anew each time.
        import nursery.context  # noqa: F401
