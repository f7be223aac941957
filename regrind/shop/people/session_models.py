"""Who is signed in where: one row for each open session."""

from django.db import models
from django.utils import timezone

from .person import Person

# Part of a browser's own description -> the name to show, the more special ones first
BROWSERS = {"Edg": "Edge", "OPR": "Opera", "Firefox": "Firefox", "Chrome": "Chrome", "Safari": "Safari"}
SYSTEMS = {
    "Android": "Android",
    "iPad": "iPad",
    "iPhone": "iPhone",
    "Windows": "Windows",
    "Mac OS": "Mac",
    "Linux": "Linux",
}


class PersonSession(models.Model):
    """An open session of a person.

    opened_with: password, password and code, PIN or badge. device: as its browser names itself.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    session_key = models.CharField(max_length=40, unique=True)
    opened_with = models.CharField(max_length=24)
    address = models.CharField(max_length=45)
    device = models.CharField(max_length=200, blank=True)
    started_at = models.DateTimeField(default=timezone.now)
    last_used = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-last_used", "-pk"]

    @property
    def device_name(self) -> str:
        """`Chrome, Android`; "unknown device" where the browser does not say."""
        browser = next((name for part, name in BROWSERS.items() if part in self.device), "")
        system = next((name for part, name in SYSTEMS.items() if part in self.device), "")
        return ", ".join(filter(None, (browser, system))) or "unknown device"
