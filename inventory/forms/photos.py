"""Hand in a picture."""

from django import forms

from nursery.forms import RequestForm, no_larger_than
from nursery.pictures import MOST_BYTES


class PhotoForm(RequestForm):
    """One picture from the camera or the gallery."""

    picture = forms.FileField(
        label="Picture",
        widget=forms.FileInput(
            attrs={"accept": "image/jpeg,image/png,image/webp"} | no_larger_than(MOST_BYTES)
        ),
        help_text="JPEG, PNG or WebP, up to 12 MB. Where and when it was taken is not kept.",
        error_messages={"required": "Choose a picture first.", "empty": "The file is empty."},
    )

    def clean_picture(self):
        file = self.cleaned_data["picture"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError("The picture is larger than 12 MB. Save it smaller.")
        return file.read()

    def refuse(self, error) -> None:
        """Show a LedgerError at the field it names."""
        self.add_error(error.field if error.field in self.fields else None, str(error))
