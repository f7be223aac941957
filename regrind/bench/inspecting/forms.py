"""What is seen on worn tools. Three things are needed; all else may stay empty."""
import math
from collections.abc import Sequence
from typing import Any, cast

from django import forms

from regrind.geometry.errors import Refused
from regrind.geometry.relief import Way, find_relief
from regrind.geometry.units import Typed, Unit, show_with_unit
from regrind.record.models import Line, Piece
from regrind.shop.dates import DoneAt
from regrind.shop.forms import AngleText, LengthText, ShopForm
from regrind.shop.models import Gauge

from ..models import METHODS

MARKS = 6
MOST_TEETH_READ = 12
WAYS = [("tangent", "along the tangent"), ("land", "along the ground land"), ("arc", "turned under the indicator"),
        ("traversed", "stylus traversed sideways")]
CM_NM = 10_000_000
ODD_SHARE, DEEP_SHARE = 0.12, 0.10      # beyond these of the nominal diameter: ask whether it is right


def usual_method(teeth: int | None, unequal_index: bool) -> str:
    """The way of measuring a diameter that fits the tooth count, '' where that is not known."""
    if unequal_index:
        return "swept"
    return "" if not teeth else "micrometer" if teeth % 2 == 0 else "v-anvil"


class InspectForm(ShopForm):
    pieces = forms.MultipleChoiceField(widget=forms.CheckboxSelectMultiple, error_messages={
        "invalid_choice": "A piece here has gone on meanwhile."})
    diameter = LengthText(label="Diameter", least_nm=100_000, most_nm=500_000_000)
    diameter_how = forms.ChoiceField(label="It was", choices=[("measured", "measured"), ("marked", "as marked")],
                                     widget=forms.RadioSelect, initial="measured")
    damage = forms.ChoiceField(label="Deepest damage", widget=forms.RadioSelect, initial="depth", choices=[
        ("depth", "a depth"), ("corners", "corners only"), ("nothing", "nothing seen")])
    damage_depth = LengthText(label="How deep, on the radius", most_nm=5 * CM_NM, required=False)
    reach = LengthText(label="How far back from the end", most_nm=30 * CM_NM, required=False)
    teeth = forms.IntegerField(label="Flutes or teeth", min_value=2, max_value=99, required=False,
                               widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    method = forms.ChoiceField(label="Measured with", choices=[("", "not said"), *METHODS], required=False)
    gauge = forms.ModelChoiceField(Gauge.objects.filter(in_use=True), required=False, label="Gauge for the diameter",
                                   empty_label="not said")
    indicator = forms.ModelChoiceField(Gauge.objects.filter(in_use=True), required=False, empty_label="not said",
                                       label="Gauge for runout and depths")
    tir = LengthText(label="Runout of the teeth, total reading", most_nm=CM_NM, required=False)
    shank_tir = LengthText(label="Shank runout", most_nm=CM_NM, required=False)
    end_depth = LengthText(label="Damage on the end face", most_nm=5 * CM_NM, required=False)
    flute_length = LengthText(label="Flute length", most_nm=100 * CM_NM, required=False)
    core = LengthText(label="Core diameter", most_nm=50 * CM_NM, required=False)
    land = LengthText(label="Primary land", most_nm=10 * CM_NM, required=False)
    rake = AngleText(label="Radial rake", least=-30, most=40, required=False)
    primary = AngleText(label="Primary relief", least=0, most=45, required=False)
    secondary = AngleText(label="Secondary relief", least=0, most=45, required=False)
    drop = LengthText(label="Indicator drop", most_nm=CM_NM, required=False)
    drop_over = LengthText(label="over a distance of", least_nm=1_000, most_nm=CM_NM, required=False)
    drop_way = forms.ChoiceField(label="distance taken", choices=WAYS, required=False)
    note = forms.CharField(max_length=500, required=False, label="Note")
    done_at = DoneAt()
    sure = forms.BooleanField(label="It is right as typed", required=False)

    asks_sure = False

    LENGTHS = ("tir", "shank_tir", "end_depth", "flute_length", "core", "land", "drop", "drop_over")
    ANGLES = ("rake", "primary", "secondary")

    def __init__(self, *args, line: Line, pieces: Sequence[Piece], seen: dict[int, int], ticked: Sequence[str] = (),
                 **kwargs):
        family = line.family
        kwargs.setdefault("initial", {}).update({"method": usual_method(family.teeth, family.unequal_index),
                                                 "teeth": family.teeth, **_last_gauges(line)})
        super().__init__(*args, **kwargs)
        self.line, self.by_id, self.seen = line, {str(piece.pk): piece for piece in pieces}, seen
        boxes = self.fields["pieces"]
        assert isinstance(boxes, forms.MultipleChoiceField)
        boxes.error_messages["required"] = "Tick the pieces that were looked at."
        boxes.choices = [(key, piece.short) for key, piece in self.by_id.items()]
        boxes.initial = list(ticked) or [key for key, p in self.by_id.items() if p.whereabouts == "arrived"]
        self.fields["seen"] = forms.CharField(
            required=False, max_length=8000, widget=forms.HiddenInput,
            initial=" ".join(f"{pk}:{revision}" for pk, revision in seen.items()))
        self._add_teeth(family.teeth)
        self._add_marks(family.teeth or 2)

    def _add_teeth(self, teeth: int | None) -> None:
        self.tooth_names = [f"tooth_{n}" for n in range(1, (teeth or 0) + 1)] if (teeth or 0) <= MOST_TEETH_READ else []
        for name in self.tooth_names:
            self.fields[name] = LengthText(label=f"Tooth {name[6:]}", least_nm=-CM_NM, most_nm=0, required=False)

    def _add_marks(self, teeth: int) -> None:
        for n in range(1, MARKS + 1):
            self.fields[f"mark_{n}_tooth"] = forms.IntegerField(
                label=f"Mark {n}: tooth", min_value=1, max_value=teeth, required=False,
                widget=forms.TextInput(attrs={"inputmode": "numeric"}))
            for name, label in (("from", "from"), ("to", "to"), ("depth", "depth"), ("wear_land", "or wear land")):
                self.fields[f"mark_{n}_{name}"] = LengthText(label=label, most_nm=30 * CM_NM, required=False)
            self.fields[f"mark_{n}_what"] = forms.CharField(label="what", max_length=40, required=False)

    def gauges(self) -> list[Gauge]:
        chosen = [self.cleaned_data.get(n) for n in ("gauge", "indicator")] if hasattr(self, "cleaned_data") else []
        return [gauge for gauge in chosen if gauge]

    def tooth_fields(self) -> list:
        return [self[name] for name in self.tooth_names]

    def mark_rows(self) -> list[list]:
        return [[self[f"mark_{n}_{name}"] for name in ("tooth", "from", "to", "depth", "wear_land", "what")]
                for n in range(1, MARKS + 1)]

    def clean(self):
        data = super().clean() or {}
        self._needs_depth(data)
        self._method_fits(data)
        self._readings_fit(data)
        self._marks_fit(data)
        self._relief_from_drop(data)
        self._guard_ten(data)
        return data

    def _needs_depth(self, data: dict) -> None:
        if data.get("damage") == "depth" and not data.get("damage_depth") and "damage_depth" not in self.errors:
            self.add_error("damage_depth", "Say how deep, or choose corners only or nothing seen.")
        if data.get("damage") in ("depth", "corners") and not data.get("reach") and "reach" not in self.errors:
            self.add_error("reach", "Say how far back from the end the damage reaches.")

    def _method_fits(self, data: dict) -> None:
        teeth, method = data.get("teeth"), data.get("method")
        if not method or self.line.family.kind_data.computed is False:
            return
        if self.line.family.unequal_index and method != "swept":
            self.add_error("method", "Unequal index: measure the swept diameter, against a gauge pin for example.")
        elif teeth and method == "micrometer" and teeth % 2:
            self.add_error("method", f"A plain micrometer cannot span {teeth} teeth: V-anvil or swept.")
        elif teeth and method == "v-anvil" and teeth % 2 == 0:
            self.add_error("method", f"A V-anvil takes odd teeth, not {teeth}: micrometer or swept.")

    def _readings_fit(self, data: dict) -> None:
        given = [data.get(name) for name in self.tooth_names]
        if not any(reading is not None for reading in given):
            return
        if data.get("tir"):
            self.add_error("tir", "Give each tooth's reading or the total reading, not both.")
        for name, reading in zip(self.tooth_names, given, strict=True):
            if reading is None and name not in self.errors:
                self.add_error(name, "Read every tooth, or none: the highest is 0.")
        if all(r is not None and r.nm != 0 for r in given):
            self.add_error(self.tooth_names[0], "The highest tooth reads 0, the others below it.")

    def _marks_fit(self, data: dict) -> None:
        for n in range(1, MARKS + 1):
            row = {name: data.get(f"mark_{n}_{name}") for name in ("tooth", "from", "to", "depth", "wear_land")}
            if all(value is None for value in row.values()):
                continue
            for name in ("tooth", "to"):
                if row[name] is None:
                    self.add_error(f"mark_{n}_{name}", "Needed for a mark.")
            if (row["depth"] is None) == (row["wear_land"] is None):
                self.add_error(f"mark_{n}_depth", "Give the depth or the wear land, one of the two.")
            start, to = row["from"], row["to"]
            if start and to and to.nm < start.nm:
                self.add_error(f"mark_{n}_to", "The mark ends before it begins: both count from the end back.")

    def _relief_from_drop(self, data: dict) -> None:
        """A drop gives the primary relief, unless that was typed as well."""
        drop, over, way = data.get("drop"), data.get("drop_over"), data.get("drop_way") or "tangent"
        if not drop:
            return
        if not over:
            self.add_error("drop_over", "A drop means nothing without the distance it was taken over.")
        elif data.get("diameter") and data.get("primary") is None:
            try:
                relief = find_relief(drop.mm, over.mm, Way(way), data["diameter"].mm / 2)
                data["primary"] = round(math.degrees(relief) * 100)
            except Refused as refused:
                self.add_error("drop", f"That drop and distance fit no relief: {refused.message}.")

    def _guard_ten(self, data: dict) -> None:
        """A lost zero or a moved point is asked about before it is stored."""
        if data.get("sure") or not data.get("diameter"):
            return
        unit, nominal, diameter = self.line.batch.customer.unit, self.line.family.nominal_nm, data["diameter"].nm
        if nominal and abs(diameter - nominal) > ODD_SHARE * nominal:
            self._ask_sure("diameter", f"Read as {_say(diameter, unit)}; its nominal size is {_say(nominal, unit)}.")
        for name in ("damage_depth", "tir"):
            if data.get(name) and data[name].nm > DEEP_SHARE * diameter:
                self._ask_sure(name, f"Read as {_say(data[name].nm, unit)}: more than a tenth of the diameter.")

    def _ask_sure(self, name: str, said: str) -> None:
        self.asks_sure = True
        self.add_error(name, f"{said} If that is right, tick “it is right as typed” and save again.")

    @property
    def more_open(self) -> bool:
        """Whether the folded part holds an error or something typed."""
        shown = {"pieces", "diameter", "diameter_how", "damage", "damage_depth", "reach", "note", "done_at", "sure"}
        return any(name not in shown for name in self.errors) or any(
            self.data.get(name) for name in self.fields
            if name not in shown | {"seen", "method", "teeth", "gauge", "indicator", "drop_way"})

    def chosen(self) -> list[Piece]:
        return [self.by_id[key] for key in self.cleaned_data["pieces"]]

    def revisions(self) -> dict[int, int]:
        """What the page saw: piece id -> revision; a tampered field counts as having seen nothing."""
        pairs = (item.split(":") for item in self.cleaned_data.get("seen", "").split())
        return {int(p[0]): int(p[1]) for p in pairs if len(p) == 2 and all(x.isascii() and x.isdigit() and len(x) < 18
                                                                          for x in p)}

    def values(self) -> dict[str, Any]:
        """The arguments of `actions.inspect`, besides pieces and revisions."""
        data = self.cleaned_data
        typed = {name: data[name] for name in ("diameter", "damage_depth", "reach", *self.LENGTHS, *self.tooth_names)
                 if isinstance(data.get(name), Typed)}
        return {"diameter_how": data["diameter_how"], "damage": data["damage"], "method": data["method"],
                "typed": typed, "angles": {name: data[name] for name in self.ANGLES if data.get(name) is not None},
                "marks": self._marks(), "teeth": data.get("teeth"), "gauge": data["gauge"],
                "indicator": data["indicator"], "way": data["drop_way"] if data.get("drop") else "",
                "note": data["note"], "done_at": data["done_at"]}

    def _marks(self) -> list[dict[str, Any]]:
        data, found = self.cleaned_data, []
        for n in range(1, MARKS + 1):
            if data.get(f"mark_{n}_tooth"):
                lengths = {name: data[f"mark_{n}_{name}"].nm for name in ("from", "to", "depth", "wear_land")
                           if data.get(f"mark_{n}_{name}")}
                found.append({"tooth": data[f"mark_{n}_tooth"], "from": 0, "what": data[f"mark_{n}_what"], **lengths})
        return found


def _say(nm: int, unit: str) -> str:
    return show_with_unit(nm, cast(Unit, unit))


def _last_gauges(line: Line) -> dict[str, int]:
    """The gauges last named for this line, offered again."""
    from ..models import Reading
    rows = Reading.objects.filter(inspection__piece__line=line, gauge__isnull=False).order_by("-pk")
    diameter, other = rows.filter(what="diameter").first(), rows.exclude(what="diameter").first()
    return {name: row.gauge_id for name, row in (("gauge", diameter), ("indicator", other))
            if row and row.gauge_id}
