"""Let people in, say what they are, and let them out again: the verbs.

An account that is out of use keeps everything that was entered by it. There is always an owner,
because only an owner changes accounts, and never their own.
"""

from django.contrib.auth import get_user_model
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import Group
from django.contrib.auth.tokens import PasswordResetTokenGenerator
from django.db import transaction

from inventory.errors import LedgerError
from nursery.people.roles import Role, role_of
from nursery.people.sessions import end, logins

User = get_user_model()


class HelperRefused(LedgerError):
    """What would be done to an account is not possible, or not for this person to do."""

    field = "name"


class JoiningTokens(PasswordResetTokenGenerator):
    """The secret of the link by which a person sets their own password.

    It holds for PASSWORD_RESET_TIMEOUT and until a password is set.
    """

    key_salt = "nursery.people.joining"


tokens = JoiningTokens()


@transaction.atomic
def add_helper(*, name: str, role: Role, by: AbstractBaseUser) -> AbstractBaseUser:
    """Make an account with a role and no password, and return it.

    The same again, while no password is set, changes nothing and returns the same account.
    Raises HelperRefused where somebody else has the name.
    """
    _hold(by)
    found = User.objects.filter(username__iexact=name).first()
    if found is None:
        found = User(username=name)
        found.set_unusable_password()
        found.save()
        _give(found, role)
    elif found.has_usable_password() or not found.is_active or role_of(found) != role:
        raise HelperRefused(f"{found} has that name already. Choose another, or change theirs.")
    return found


@transaction.atomic
def change_role(*, helper: AbstractBaseUser, role: Role, by: AbstractBaseUser) -> None:
    """Give a person another role. It holds from their next page on."""
    _hold(by)
    _refuse_oneself(helper, by)
    _give(helper, role)


@transaction.atomic
def take_out_of_use(*, helper: AbstractBaseUser, by: AbstractBaseUser) -> None:
    """Let nobody in by an account any more, and end its log-ins, so that none comes back with it.

    What was entered by it stays under its name.
    """
    _hold(by)
    _refuse_oneself(helper, by)
    helper.is_active = False
    helper.save(update_fields=["is_active"])
    end(logins(helper))


@transaction.atomic
def take_back_into_use(*, helper: AbstractBaseUser, by: AbstractBaseUser) -> None:
    """Let a person in by their account again, as what they were."""
    _hold(by)
    helper.is_active = True
    helper.save(update_fields=["is_active"])


@transaction.atomic
def new_secret(*, helper: AbstractBaseUser, by: AbstractBaseUser) -> str:
    """Return the secret of a new link for a person; an earlier one that was not used leads nowhere.

    A password that they have holds until they set another.
    Raises HelperRefused for an account that is out of use.
    """
    _hold(by)
    if not helper.is_active:
        raise HelperRefused(f"{helper} is out of use. Take the account back into use first.")
    if not helper.has_usable_password():
        helper.set_unusable_password()
        helper.save(update_fields=["password"])
    return tokens.make_token(helper)


@transaction.atomic
def join(*, helper: AbstractBaseUser, secret: str, password: str) -> None:
    """Set the password that a person chose by their link.

    Raises HelperRefused where the link was used meanwhile, or its day is over.
    """
    held = User.objects.select_for_update().get(pk=helper.pk)
    if not held.is_active or not tokens.check_token(held, secret):
        raise HelperRefused("This link was used already, or is older than a day.", field="")
    held.set_password(password)
    held.save(update_fields=["password"])


def _hold(by: AbstractBaseUser) -> None:
    """Hold all owners, so that two cannot put each other out, and see that this is still one."""
    owners = User.objects.select_for_update().filter(is_superuser=True, is_active=True)
    if by.pk not in {owner.pk for owner in owners}:
        raise HelperRefused("Only an owner says who may do what.", field="")


def _refuse_oneself(helper: AbstractBaseUser, by: AbstractBaseUser) -> None:
    if helper.pk == by.pk:
        raise HelperRefused("Nobody changes their own account here; ask another owner.", field="")


def _give(helper: AbstractBaseUser, role: Role) -> None:
    """Make a role the only one that a person has."""
    helper.is_superuser = role == Role.OWNER
    helper.save(update_fields=["is_superuser"])
    helper.groups.set(Group.objects.filter(name=role))
