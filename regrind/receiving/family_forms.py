"""Tool families: what is known of one, and two that are one."""
from django import forms
from django.db.models import Q

from regrind.record.models import Family
from regrind.shop.forms import ShopForm

MOST = 200


def like(family: Family) -> list[Family]:
    """Families that may be the same tool: of its kind, of its size or of none; the nearest first."""
    found = Family.objects.filter(kind=family.kind, merged_into=None).exclude(pk=family.pk)
    if family.nominal_nm is not None:
        found = found.filter(Q(nominal_nm=family.nominal_nm) | Q(nominal_nm=None))
    return list(found.order_by("nominal_nm", "teeth", "pk")[:MOST])


class MergeFamilyForm(ShopForm):
    into = forms.ChoiceField(label="Is really this one", error_messages={
        "invalid_choice": "Choose a family of the list: of the same kind and size."})

    def __init__(self, *args, family: Family, unit: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.others = {str(other.pk): other for other in like(family)}
        field = self.fields["into"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", "choose a family"), *((pk, other.name(unit)) for pk, other in self.others.items())]

    def chosen(self) -> Family:
        return self.others[self.cleaned_data["into"]]
