from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404

from regrind.record.find import piece_or_404
from regrind.record.models import Line, Piece
from regrind.shop.fields.forms import ShopForm
from regrind.shop.files.photos import MOST_BYTES, Photograph, PhotoRefused, redraw_photo

from ..models import Photo


def read_photo(file: "UploadedFile[bytes]") -> Photograph:
    """The picture drawn afresh; ValidationError in words where it is none, or too large."""
    try:
        return redraw_photo(file.read(MOST_BYTES + 1))
    except PhotoRefused as refused:
        raise forms.ValidationError(str(refused)) from refused


class PhotoForm(ShopForm):
    """A photo, what it shows and of which piece. The picture is drawn afresh as it is read."""

    photo = forms.FileField(
        label="Photo",
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        max_length=None,
        help_text="JPEG, PNG or WebP. The place and the camera are not stored.",
    )
    about = forms.ChoiceField(
        label="What it shows", widget=forms.RadioSelect, choices=list(Photo._meta.get_field("about").choices or ())
    )
    piece = forms.CharField(
        label="Piece, empty for all of the line",
        max_length=24,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    mark = forms.IntegerField(
        label="Damage mark, if it shows one",
        min_value=1,
        max_value=400,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    caption = forms.CharField(label="Caption", max_length=120, required=False)

    def __init__(self, *args: Any, line: Line, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.line = line
        photo, mark = self.fields["photo"], self.fields["mark"]
        photo.error_messages |= {
            "required": "Take or choose a photo first.",
            "empty": "The file is empty: take or choose the photo again.",
            "missing": "No file came with it: take or choose the photo again.",
        }
        mark.error_messages |= dict.fromkeys(
            ("invalid", "min_value", "max_value"), "Marks are counted from 1, as they stand on the inspection."
        )

    def clean_photo(self) -> Photograph:
        return read_photo(self.cleaned_data["photo"])

    def clean_piece(self) -> Piece | None:
        text = self.cleaned_data["piece"].strip()
        if not text:
            return None
        short = text.removeprefix(f"{self.line.batch.number}-") if text.count("-") == 2 else text
        wrong = forms.ValidationError(f"{text} is no piece of this line. Write {self.line.number}-7 for example.")
        try:
            piece = piece_or_404(f"{self.line.batch.number}-{short}")
        except Http404 as error:
            raise wrong from error
        if piece.line_id != self.line.pk:
            raise wrong
        return piece
