"""What the house itself keeps, beside plants and sales."""

from nursery.models.deeds import Deed

__all__ = ["Deed"]
