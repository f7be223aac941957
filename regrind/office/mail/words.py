"""What the mails say: plain text, short, signed by the shop."""

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from regrind.record.contacts import MailUse, recipients
from regrind.record.models import Batch, Customer
from regrind.shop.models import ShopSettings

from ..quote_models import Quote

# Which of the customer's people get which kind of mail.
USES: dict[str, MailUse] = {
    "received": "ready",
    "quote": "quotes",
    "reminder": "quotes",
    "ready": "ready",
    "report": "ready",
}
CARE = "Whoever has this link can answer for you: pass it to nobody else."
LINK = "{link}"  # where the address of a quote's page goes, which no row holds
LINK_STANDS_HERE = "(the link, made while the mail is sent)"
NO_ADDRESS = "no mail address"


def say_recipients(customer: Customer) -> str:
    """`quotes to ann@…; ready to crib@…`, the address alone where all mails go to it; `no mail address`."""
    uses: dict[str, list[str]] = {}
    for use in dict.fromkeys(USES.values()):
        to = ", ".join(contact.mail for contact in recipients(customer, use))
        uses.setdefault(to, []).append(use)
    if list(uses) == [""]:
        return NO_ADDRESS
    return next(iter(uses)) if len(uses) == 1 else "; ".join(f"{', '.join(u)} to {to}" for to, u in uses.items())


def subject_of(kind: str, shop: ShopSettings, batch: Batch | None, quote: Quote | None = None) -> str:
    order = f" (your order {batch.order_number})" if batch and batch.order_number else ""
    about = {
        "received": f"Your box is here, batch {batch}{order}",
        "quote": f"Quote {quote}: please tell us what to do{order}",
        "reminder": f"Reminder: quote {quote} waits for your answer{order}",
        "ready": f"Your tools are ready, batch {batch}{order}",
        "report": f"Your tools are on their way back, batch {batch}{order}",
        "test": "Test of the shop's mail",
    }
    return f"{shop.name}: {about[kind]}"[:200]


def text_of(kind: str, shop: ShopSettings, batch: Batch | None, quote: Quote | None, *, linked: bool) -> str:
    """The body; `{link}` stands for the quote's page where it gets one."""
    says = {
        "received": [f"We received your box. Its number here is {batch}. We inspect the tools next."],
        "quote": _asks(quote, linked=linked, again=False),
        "reminder": _asks(quote, linked=linked, again=True),
        "ready": [f"The tools of batch {batch} are ready. We send them, or you fetch them."],
        "report": [f"Tools of batch {batch} are on their way to you. The report is attached."],
        "test": ["This is a test. The shop's mail works."],
    }
    names = [contact.name for contact in recipients(batch.customer, USES[kind]) if contact.name] if batch else []
    greeting = f"Dear {', dear '.join(names)}," if names else "Hello,"
    return "\n\n".join([greeting, *says[kind], _signature(shop)])


def _asks(quote: Quote | None, *, linked: bool, again: bool) -> list[str]:
    if quote is None:
        return []
    until = f"{quote.valid_until.day} {quote.valid_until:%B %Y}"
    first = "We still wait for your answer" if again else "We inspected your tools and need your answer"
    how = (
        f"Open this page on a phone or computer and choose:\n{LINK}\n{CARE}"
        if linked
        else "Please call us, or write back."
    )
    how += "\nThe link of our first mail opens the same page." if again and linked else ""
    return [f"{first}: quote {quote} is attached. Its prices hold until {until}.", how]


def _signature(shop: ShopSettings) -> str:
    phone = f"Telephone {shop.phone}" if shop.phone else ""
    return "\n".join(filter(None, (shop.name, phone, shop.mail)))


def html_of(text: str) -> SafeString:
    """The same words as HTML: paragraphs, line breaks, and an address that can be tapped."""
    paragraphs = [format_html("<p>{}</p>", _lines(part)) for part in text.split("\n\n")]
    body = format_html_join("", "{}", ((paragraph,) for paragraph in paragraphs))
    return format_html("<!DOCTYPE html><html><body>{}</body></html>", body)


def _lines(part: str) -> SafeString:
    return format_html_join(mark_safe("<br>"), "{}", ((_line(line),) for line in part.split("\n")))


def _line(line: str) -> SafeString:
    linked = line.startswith(("https://", "http://"))
    return format_html('<a href="{0}">{0}</a>', line) if linked else format_html("{}", line)
