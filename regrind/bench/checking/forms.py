import math
from collections.abc import Sequence
from typing import cast

from django import forms

from regrind.geometry.errors import Refused
from regrind.geometry.relief import Way, find_relief
from regrind.geometry.units import Typed
from regrind.record.models import Piece
from regrind.shop.dates import DoneAt
from regrind.shop.forms import AngleText, LengthText
from regrind.shop.models import Gauge

from ..inspecting.forms import WAYS, usual_method
from ..models import METHODS, FinalCheck
from ..piece_form import PiecesForm

CM_NM = 10_000_000


class CheckForm(PiecesForm):
    diameter = LengthText(label="Diameter at the end", least_nm=100_000, most_nm=500_000_000, required=False)
    back_diameter = LengthText(label="Diameter at the back of the flute", least_nm=100_000, most_nm=500_000_000,
                               required=False)
    method = forms.ChoiceField(label="Measured with", choices=[("", "not said"), *METHODS], required=False)
    gauge = forms.ModelChoiceField(Gauge.objects.filter(in_use=True), required=False, empty_label="not said",
                                   label="Gauge for the diameter")
    drop = LengthText(label="Indicator drop", most_nm=CM_NM, required=False)
    drop_over = LengthText(label="over a distance of", least_nm=1_000, most_nm=CM_NM, required=False)
    drop_way = forms.ChoiceField(label="distance taken", choices=WAYS, required=False)
    indicator = forms.ModelChoiceField(Gauge.objects.filter(in_use=True), required=False, empty_label="not said",
                                       label="Gauge for drop and runout")
    runout_sides = LengthText(label="Runout on the sides", most_nm=CM_NM, required=False)
    runout_end = LengthText(label="Runout on the end teeth", most_nm=CM_NM, required=False)
    overall = LengthText(label="Overall length", most_nm=100 * CM_NM, required=False)
    usable = LengthText(label="Usable length", most_nm=100 * CM_NM, required=False)
    point_angle = AngleText(label="Point angle", least=20, most=180, required=False)
    corner = forms.ChoiceField(label="Corner as it is now", required=False, choices=[
        ("", "not said"), *FinalCheck._meta.get_field("corner").choices])      # type: ignore[misc]
    corner_size = LengthText(label="Corner size", most_nm=5 * CM_NM, required=False)
    coating = forms.CharField(label="Coating as it is now", max_length=60, required=False)
    witness = forms.CharField(label="Witness marks left", max_length=200, required=False)
    note = forms.CharField(max_length=500, required=False)
    passed = forms.ChoiceField(label="Decision", widget=forms.RadioSelect, initial="yes", choices=[
        ("yes", "release them"), ("no", "send them back to grinding")])
    sent_back = forms.CharField(label="Why they go back", max_length=300, required=False)
    done_at = DoneAt()

    LENGTHS = ("diameter", "back_diameter", "drop", "drop_over", "runout_sides", "runout_end", "overall", "usable")

    def __init__(self, *args, pieces: Sequence[Piece], **kwargs):
        super().__init__(*args, pieces=pieces, **kwargs)
        family = self.line.family
        self.fields["method"].initial = usual_method(family.teeth, family.unequal_index)
        if family.coating and "coating" not in (self.initial or {}):
            self.initial["coating"] = "coating ground off on the flank"
        every = max(1, self.line.check_every)
        self.nth = [piece for n, piece in enumerate(pieces) if n and n % every == 0]
        for piece in self.nth:
            self.fields[f"diameter_{piece.pk}"] = LengthText(label=f"Diameter of {piece.short}", least_nm=100_000,
                                                             most_nm=500_000_000, required=False,
                                                             unit=self.line.batch.customer.unit)     # type: ignore[arg-type]

    def nth_fields(self) -> list:
        return [self[f"diameter_{piece.pk}"] for piece in self.nth]

    def clean(self):
        data = super().clean() or {}
        if self.line.family.kind_data.computed and not data.get("diameter") and "diameter" not in self.errors:
            self.add_error("diameter", "Measure the diameter of the first piece.")
        self._method_fits(data)
        self._relief(data)
        if data.get("passed") == "no" and not data.get("sent_back"):
            self.add_error("sent_back", "Say why, so that the grinder knows.")
        return data

    def _method_fits(self, data: dict) -> None:
        teeth, method = self.line.family.teeth or 0, data.get("method")
        if method == "micrometer" and teeth % 2:
            self.add_error("method", f"A plain micrometer cannot span {teeth} teeth: V-anvil or swept.")
        elif method == "v-anvil" and teeth and teeth % 2 == 0:
            self.add_error("method", f"A V-anvil takes odd teeth, not {teeth}: micrometer or swept.")

    def _relief(self, data: dict) -> None:
        drop, over = data.get("drop"), data.get("drop_over")
        if drop and not over:
            self.add_error("drop_over", "A drop means nothing without the distance it was taken over.")
        if not (drop and over and data.get("diameter")):
            return
        try:
            way = cast(Way, data.get("drop_way") or "tangent")
            data["relief_cdeg"] = round(math.degrees(find_relief(drop.mm, over.mm, way, data["diameter"].mm / 2)) * 100)
        except Refused as refused:
            self.add_error("drop", f"That drop and distance fit no relief: {refused.message}.")

    def values(self) -> dict:
        """The arguments of actions.check, besides pieces and revisions."""
        data = self.cleaned_data
        own = {piece.pk: data[f"diameter_{piece.pk}"] for piece in self.nth if data.get(f"diameter_{piece.pk}")}
        plain = ("method", "corner", "coating", "witness", "note", "gauge", "indicator", "sent_back", "done_at")
        return {name: data[name] for name in plain} | {
            "typed": {name: data[name] for name in self.LENGTHS if isinstance(data.get(name), Typed)},
            "diameters": own, "passed": data["passed"] == "yes", "relief_cdeg": data.get("relief_cdeg"),
            "relief_how": data["drop_way"] if data.get("drop") else "", "point_angle_cdeg": data["point_angle"],
            "corner_nm": data["corner_size"].nm if data["corner_size"] else None}
