"""Ask for plants on the web: without an account, and without a foreign guard at the door."""

from collections.abc import Sequence
from datetime import timedelta
from uuid import UUID, uuid4

from django import forms
from django.core.signing import BadSignature, SignatureExpired, TimestampSigner

from sales.documents.words import say
from sales.operations.requests import LONGEST_MESSAGE, MOST_PLANTS, Wish
from sales.public import PublicLine

# Nobody fills the form in faster; a page left open for longer is sent once more.
SOONEST, LATEST = timedelta(seconds=3), timedelta(days=2)
SIGNER = TimestampSigner(salt="sales.requests")


def new_stamp() -> str:
    """Return a new request id, signed with the time the form was opened."""
    return SIGNER.sign(str(uuid4()))


def is_young(stamp: str) -> bool:
    """Say whether a form was opened a moment ago, sooner than anyone could fill it in."""
    try:
        SIGNER.unsign(stamp, max_age=SOONEST)
    except SignatureExpired:
        return False
    return True


class AskForm(forms.Form):
    """How many of which line, and who asks.

    `website` is seen by machines only: what fills it in is none of ours. `stamp` is the
    request id, signed with the time the form was opened.
    """

    name = forms.CharField(max_length=80)
    email = forms.EmailField(required=False)
    phone = forms.CharField(
        required=False, max_length=40, widget=forms.TextInput(attrs={"inputmode": "tel"})
    )
    message = forms.CharField(
        required=False, max_length=LONGEST_MESSAGE, widget=forms.Textarea(attrs={"rows": 4})
    )
    website = forms.CharField(required=False)
    stamp = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, data=None, *, lines: Sequence[PublicLine], initial=None):
        super().__init__(data, initial={"stamp": new_stamp(), **(initial or {})})
        labels = {"name": "Your name", "email": "E-mail", "phone": "Phone", "message": "Message"}
        for name, label in labels.items():
            self.fields[name].label = say(label)
        for name, how in (("name", "name"), ("email", "email"), ("phone", "tel")):
            self.fields[name].widget.attrs["autocomplete"] = how
        self.lines = lines
        for line in lines:
            self.fields[line.anchor] = forms.IntegerField(
                required=False, min_value=0, max_value=MOST_PLANTS,
                label=say("How many {plant}?", plant=f"{line.plant}, {line.container}"),
                widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            )  # fmt: skip

    def rows(self):
        """Yield (line, its field) for the page."""
        for line in self.lines:
            yield line, self[line.anchor]

    @property
    def contact_fields(self):
        """The fields that say who asks."""
        return [self[name] for name in ("name", "email", "phone", "message")]

    @property
    def is_of_a_machine(self) -> bool:
        """Say whether the field that nobody sees was filled in."""
        return bool(self.data.get("website"))

    def clean_stamp(self) -> UUID:
        """Return the request id; where the stamp is too young or too old, ask once more."""
        stamp = self.cleaned_data["stamp"]
        try:
            request_id = UUID(SIGNER.unsign(stamp, max_age=LATEST))
        except (BadSignature, ValueError) as error:
            # SignatureExpired is one of them: the next press bears a new stamp.
            self.data = self.data.copy()
            self.data["stamp"] = new_stamp()
            raise self._once_more() from error
        if is_young(stamp):
            raise self._once_more()
        return request_id

    def _once_more(self):
        return forms.ValidationError(say("Please read it once more and press again."))

    @property
    def wishes(self) -> list[Wish]:
        """Return what a valid form asks for."""
        numbers = ((line, self.cleaned_data.get(line.anchor)) for line in self.lines)
        return [Wish(line, number) for line, number in numbers if number]

    def refuse(self, error) -> None:
        """Show a refusal at the field it names, keeping what was typed."""
        self.add_error(error.field if error.field in self.fields else None, str(error))

    def asked(self) -> dict:
        """Return what `ask_for_plants` takes of the form."""
        named = ("name", "email", "phone", "message")
        return {name: self.cleaned_data[name] for name in named} | {
            "wishes": self.wishes,
            "request_id": self.cleaned_data["stamp"],
        }
