"""What the house itself keeps, beside plants and sales."""

from nursery.models.deeds import Deed
from nursery.models.logins import Login, RecoveryCode

__all__ = ["Deed", "Login", "RecoveryCode"]
