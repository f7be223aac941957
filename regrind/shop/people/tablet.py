"""The tablets that the owner enrolled: on these a PIN or a badge opens the bench."""

from django.db import models
from django.utils import timezone

from .person import Person


class Tablet(models.Model):
    """An enrolled tablet. Only the tablet has its token, a long random text; the hash is stored here."""

    name = models.CharField("place", max_length=40)
    token = models.CharField(max_length=64, unique=True)
    enrolled_at = models.DateTimeField(default=timezone.now)
    enrolled_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name
