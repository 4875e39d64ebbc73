"""How passwords are stretched: by Argon2id as Django sets it, two at a time.

Each takes 100 MB while it lasts, and so much that a second processor helps little. Strangers who
all try a password at one moment would fill a small machine; so they wait for each other.
"""

from threading import BoundedSemaphore

from django.contrib.auth.hashers import Argon2PasswordHasher

AT_ONCE = BoundedSemaphore(2)


class InTurn(Argon2PasswordHasher):
    """Argon2id, with no more than two passwords in work in a process."""

    def encode(self, password, salt):
        with AT_ONCE:
            return super().encode(password, salt)

    def verify(self, password, encoded):
        with AT_ONCE:
            return super().verify(password, encoded)
