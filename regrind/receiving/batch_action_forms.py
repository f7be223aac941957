"""What can be mended about a whole box: whose it is, and that it never was. One small form each."""

from django import forms

from regrind.record.models import Batch, Customer
from regrind.shop.fields.forms import ShopForm
from regrind.shop.models import Person

from . import actions


class BatchActionForm(ShopForm):
    """Something mended about a box. title and verb: the page's words; about: one sentence of what will happen."""

    title = verb = about = ""
    reason = forms.CharField(label="Reason", max_length=200)

    def __init__(self, *args: object, batch: Batch, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.batch = batch

    def act(self, by: Person) -> None:
        raise NotImplementedError


class OwnerForm(BatchActionForm):
    title, verb = "Another customer's box", "Save"
    about = (
        "Its lines take that customer's limits from now on. Plans made before stay, and say under whose limits they "
        "were made. Prices that were set stay: look at them."
    )
    customer = forms.ModelChoiceField(
        Customer.objects.none(),
        label="Whose it is",
        empty_label="choose a customer",
        error_messages={"invalid_choice": "That customer is not in the list: choose one of it."},
    )
    field_order = ("customer", "reason")

    def __init__(self, *args: object, batch: Batch, **kwargs: object) -> None:
        super().__init__(*args, batch=batch, **kwargs)
        choice = self.fields["customer"]
        assert isinstance(choice, forms.ModelChoiceField)
        choice.queryset = Customer.objects.filter(active=True).exclude(pk=batch.customer_id)

    def act(self, by: Person) -> None:
        data = self.cleaned_data
        actions.change_owner(by=by, batch=self.batch, customer=data["customer"], reason=data["reason"])


class CancelForm(BatchActionForm):
    title, verb = "Cancel the box", "Cancel the box"
    about = (
        "For a box that is empty or was logged by mistake. Its number stays, with the reason. Lines in it that nothing "
        "has happened to are set aside."
    )

    def act(self, by: Person) -> None:
        actions.cancel_batch(by=by, batch=self.batch, reason=self.cleaned_data["reason"])


FORMS: dict[str, type[BatchActionForm]] = {"owner": OwnerForm, "cancel": CancelForm}
