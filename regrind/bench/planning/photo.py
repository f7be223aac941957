"""The photo that goes with a decision: why a tool is asked about or not ground."""

from regrind.record.models import Line
from regrind.shop.files import photos as files
from regrind.shop.models import Person

from ..photographs.actions import add_photo
from .forms import DecideForm


def add_its_photo(form: DecideForm, line: Line, by: Person) -> None:
    """Store the photo that was taken in the same sheet, of the piece, or of the line where several are meant."""
    photo, pieces = form.cleaned_data["photo"], form.chosen()
    if photo:
        piece = pieces[0] if len(pieces) == 1 else None
        add_photo(by=by, line=line, piece=piece, photo=photo, sha256=files.store(photo), about="not_ground")
