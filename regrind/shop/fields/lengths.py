"""Lengths as the record keeps them: whole nanometres, so that sums, checks and grouping are exact on both databases."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

LONGEST_NM = 10 * 10**9  # ten metres


class LengthField(models.BigIntegerField):  # type: ignore[type-arg]  # Django takes no argument at run time
    """A length in whole nanometres; its name on the model ends in `_nm`."""

    description = "a length in whole nanometres"
    default_validators = [MinValueValidator(-LONGEST_NM), MaxValueValidator(LONGEST_NM)]
