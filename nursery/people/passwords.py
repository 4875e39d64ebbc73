"""What a password must be. Long is all that counts: no kinds of signs are asked for.

NIST SP 800-63B-4, section 3.1.1.2 (from memory): at least 15 signs where a password alone lets
somebody in, all signs taken, none cut off, known ones refused, no rules of composition and no
change by the calendar. OWASP ASVS 5.0, 6.2, asks for no less.
"""

import re

from django.core.exceptions import ValidationError

from nursery.context import current_nursery

MOST = 128
# So much must be left when the words that anybody would try here are taken out.
LEFT = 8
TRIED_HERE = {"nursery", "ledger", "password", "plants", "garden"}


class NotTooLong:
    """Refuse what would only cost time to hash."""

    def validate(self, password, user=None):
        """Raise ValidationError for more signs than any sentence has."""
        if len(password) > MOST:
            raise ValidationError(
                f"This password has {len(password)} signs; {MOST} are the most.", "too long"
            )

    def get_help_text(self):
        return f"At most {MOST} signs, of any kind."


class NotOurWords:
    """Refuse a password made of the nursery's own name and what else is tried here first."""

    def validate(self, password, user=None):
        """Raise ValidationError where little is left without those words."""
        words = TRIED_HERE | set(re.findall(r"\w{3,}", current_nursery().name.lower()))
        if user is not None:
            words.add(user.get_username().lower())
        left = password.lower()
        for word in sorted(filter(None, words), key=len, reverse=True):
            left = left.replace(word, "")
        if len(left) < LEFT:
            raise ValidationError(
                "This is made of the nursery's name, yours, or words tried first. Take others.",
                "our words",
            )

    def get_help_text(self):
        return "Four words that have nothing to do with each other are good and easy to type."
