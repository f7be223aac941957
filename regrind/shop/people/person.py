"""The people of the shop and what they may do."""

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, name: str, password: str | None = None, **may: bool) -> "Person":
        person = self.model(name=name, **may)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def find(self, name: str) -> "Person | None":
        """The person with this name, in any capitals; a name that is written exactly so comes first."""
        return self.filter(name=name).first() or self.filter(name__iexact=name).first()

    def get_by_natural_key(self, username: str | None) -> "Person":
        person = self.find(username or "")
        if person is None:
            raise self.model.DoesNotExist
        return person


class Person(AbstractBaseUser):
    """Someone who works here. One person may hold every role and release their own work."""

    name = models.CharField(max_length=60, unique=True)
    front_desk = models.BooleanField("front desk", default=False)
    bench = models.BooleanField("bench", default=False)
    owner = models.BooleanField("owner", default=False)
    is_active = models.BooleanField("active", default=True)
    left_handed = models.BooleanField("number pad on the left", default=False)
    must_change_password = models.BooleanField("must choose a password", default=False)
    # Hashes; history leaves them out, and keeps when they were set.
    pin = models.CharField(max_length=128, blank=True)
    pin_set_at = models.DateTimeField("PIN set", null=True, blank=True)
    badge = models.CharField(max_length=64, blank=True, db_index=True)
    # What the second factor's key is worked out from, with the signing key; without that it is worth nothing.
    totp_seed = models.CharField(max_length=32, blank=True)
    totp_step = models.BigIntegerField(default=0)  # of the last code that was used
    totp_set_at = models.DateTimeField("second factor set up", null=True, blank=True)
    badge_set_at = models.DateTimeField("badge made", null=True, blank=True)

    # Of a session that a PIN or a badge opened: the roles that need a password. Never stored.
    by_pin = False
    withheld_roles: tuple[str, ...] = ()

    objects = PersonManager()
    USERNAME_FIELD = "name"

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(Lower("name"), name="one_person_a_name")]

    def __str__(self) -> str:
        return self.name

    def may(self, role: str) -> bool:
        """True where this person holds `role` ('front_desk', 'bench' or 'owner'); the owner may do all."""
        return self.owner or bool(getattr(self, role))

    @property
    def tablet_keys(self) -> list[str]:
        """What opens the bench for this person on a tablet: a PIN, a badge, or neither."""
        return [name for name, value in (("PIN", self.pin), ("badge", self.badge)) if value]

    @property
    def roles(self) -> list[str]:
        return [
            word
            for field, word in (("front_desk", "front desk"), ("bench", "bench"), ("owner", "owner"))
            if getattr(self, field)
        ]
