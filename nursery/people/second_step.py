"""The second step at login: a code from the person's phone, or one of ten recovery codes.

The codes are those of RFC 6238, worked out by django-otp. A recovery code is twelve digits, of
which the first says which of the ten it is, so that one field and one keyboard take both. What
stands behind it has 36 bits, more than the 20 of OWASP ASVS 5.0, 6.5.3, and is kept as a hash.
"""

import secrets
from base64 import b32encode
from urllib.parse import quote, urlencode

from django.contrib.auth import get_user_model
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction
from django.utils import timezone
from django_otp.oath import TOTP
from django_otp.plugins.otp_totp.models import TOTPDevice

from inventory.errors import LedgerError
from nursery.context import current_nursery
from nursery.models import RecoveryCode
from nursery.people.sessions import end, logins

# RFC 4226, section 4, R6 recommends a secret of 160 bits.
KEY_BYTES = 20
RECOVERY_CODES = 10
LENGTH = 12
NOT_RIGHT = (
    "This code is not right, or was used before. A phone's code changes every 30 seconds: wait "
    "for the next one, and see that the phone's clock is set by itself."
)


def new_key() -> str:
    """Return a new secret, as hexadecimal digits."""
    return secrets.token_hex(KEY_BYTES)


def in_letters(key: str) -> str:
    """Return a secret as an app for codes takes it when it is typed: in Base32."""
    return b32encode(bytes.fromhex(key)).decode()


def address_for_app(key: str, account: AbstractBaseUser) -> str:
    """Return the otpauth address that an app for codes reads from the picture."""
    house = (current_nursery().name or "Nursery ledger").replace(":", " ")
    label = quote(f"{house}:{account.get_username()}", safe=":")
    facts = {"secret": in_letters(key), "issuer": house, "algorithm": "SHA1"}
    return f"otpauth://totp/{label}?" + urlencode(
        facts | {"digits": 6, "period": 30}, quote_via=quote
    )


def has_second_step(account: AbstractBaseUser) -> bool:
    """Say whether an account asks for a code at login."""
    return _steps_of(account).exists()


def codes_left(account: AbstractBaseUser) -> int:
    """Return how many recovery codes were not used yet."""
    return account.recovery_codes.count()


@transaction.atomic
def switch_on(*, account: AbstractBaseUser, key: str, code: str) -> list[str]:
    """Ask for codes of a secret from now on, and return the recovery codes, once.

    Raises LedgerError for a code that is not the secret's, and where a second step is on
    already. The code is used up by this.
    """
    _held(account)
    if has_second_step(account):
        raise LedgerError("The second step is on already. Switch it off to set up another phone.")
    clock = TOTP(bytes.fromhex(key))
    if not _is_phones(code) or not clock.verify(int(_digits(code)), tolerance=1):
        raise LedgerError(NOT_RIGHT, field="code")
    TOTPDevice.objects.filter(user=account).delete()
    TOTPDevice.objects.create(
        user=account, name="phone", key=key, last_t=clock.t(), drift=clock.drift
    )
    return _write_codes(account)


@transaction.atomic
def switch_off(*, account: AbstractBaseUser) -> None:
    """Ask for no code any more, and forget the recovery codes. Again changes nothing."""
    _held(account)
    TOTPDevice.objects.filter(user=account).delete()
    account.recovery_codes.all().delete()


@transaction.atomic
def renew_codes(*, account: AbstractBaseUser) -> list[str]:
    """Put ten new recovery codes in the place of the old ones, and return them, once.

    Raises LedgerError where no second step is on.
    """
    _held(account)
    if not has_second_step(account):
        raise LedgerError("The second step is off, so there is nothing to recover.")
    return _write_codes(account)


@transaction.atomic
def refusal_of(*, account: AbstractBaseUser, code: str) -> str:
    """Try a code and return why it is refused; nothing where it is right, and then it is used up.

    After each wrong one the next must wait twice as long. Not raised, but returned: what a try
    leaves behind must be kept.
    """
    step = _steps_of(account).select_for_update().first()
    if step is None:
        return NOT_RIGHT
    allowed, why = step.verify_is_allowed()
    if not allowed:
        wait = max(1, round((why["locked_until"] - timezone.now()).total_seconds()))
        return f"Too many wrong codes in a row. Wait {wait} seconds, then enter a new one."
    if _is_phones(code):
        return "" if step.verify_token(_digits(code)) else NOT_RIGHT
    if _use_recovery_code(account, _digits(code)):
        step.throttle_reset()
        return ""
    step.throttle_increment()
    return NOT_RIGHT


def end_others(account: AbstractBaseUser, session) -> int:
    """End every login of an account but one's own, as after each change of how it comes in."""
    return end(logins(account), but=session)


def _steps_of(account):
    return TOTPDevice.objects.filter(user=account, confirmed=True)


def _held(account) -> None:
    """Let one change of an account's second step wait for another."""
    get_user_model().objects.select_for_update().get(pk=account.pk)


def _digits(code: str) -> str:
    return "".join(sign for sign in code if sign.isascii() and sign.isdigit())


def _is_phones(code: str) -> bool:
    return len(_digits(code)) == 6


def _write_codes(account) -> list[str]:
    account.recovery_codes.all().delete()
    rest = LENGTH - 1
    codes = [f"{n}{secrets.randbelow(10**rest):0{rest}d}" for n in range(RECOVERY_CODES)]
    RecoveryCode.objects.bulk_create(
        RecoveryCode(account=account, number=int(code[0]), hashed=make_password(code))
        for code in codes
    )
    return [f"{code[:4]} {code[4:8]} {code[8:]}" for code in codes]


def _use_recovery_code(account, code: str) -> bool:
    if len(code) != LENGTH:
        return False
    row = account.recovery_codes.filter(number=int(code[0])).first()
    return bool(row and check_password(code, row.hashed) and row.delete())
