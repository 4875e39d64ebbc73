"""`manage.py let_in NAME`: let somebody in again who forgot a password or lost a phone."""

from getpass import getpass

from axes.utils import reset
from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from nursery.people import second_step
from nursery.people.sessions import end, logins


class Command(BaseCommand):
    """Set a new password, end the wait after wrong ones, and log the account out everywhere."""

    help = "Let somebody in again: a new password, asked twice; all their log-ins end."

    def add_arguments(self, parser):
        """Take the name, and what is to be left or taken off."""
        parser.add_argument("name", help="the name they log in with")
        parser.add_argument(
            "--keep-password", action="store_true", help="only end the wait and the log-ins"
        )
        parser.add_argument(
            "--without-second-step", action="store_true", help="the phone with the codes is gone"
        )

    def handle(self, *args, name, keep_password, without_second_step, **options):
        """Do it, all or nothing, and say what was done."""
        account = _account(name)
        password = None if keep_password else _asked_twice(account)
        with transaction.atomic():
            if password is not None:
                account.set_password(password)
                account.save(update_fields=["password"])
                self.stdout.write(f"{name} has the new password.")
            if without_second_step:
                second_step.switch_off(account=account)
                self.stdout.write("The second step is off. Set it up again under Your account.")
            reset(username=account.get_username())
            ended = end(logins(account))
        self.stdout.write(f"No wait after wrong passwords. Log-ins ended: {ended}.")


def _account(name: str):
    accounts = get_user_model().objects
    account = accounts.filter(username=name).first()
    if account is None:
        known = ", ".join(accounts.order_by("username").values_list("username", flat=True))
        raise CommandError(f"Nobody is called {name}. There are: {known or 'no accounts yet'}.")
    if not account.is_active:
        raise CommandError(f"{name} is out of use. An owner takes them back into use.")
    return account


def _asked_twice(account) -> str:
    """Ask for a password without showing it. Raises CommandError for two, or a weak one."""
    try:
        password = getpass("New password: ")
        if password != getpass("The same again: "):
            raise CommandError("These were two passwords. Nothing was changed.")
    except (EOFError, KeyboardInterrupt) as error:
        raise CommandError("Nothing was changed.") from error
    try:
        validate_password(password, account)
    except ValidationError as error:
        raise CommandError(f"{' '.join(error.messages)} Nothing was changed.") from error
    return password
