"""The record: customers, families, batches, lines, pieces, tools, their steps and the customers' answers."""

from regrind.shop.history.triggers import guard

from .answers import Answer, AnswerPiece
from .batches import Batch, ForeignItem, Line, LineChange, LineMove, OwnerChange
from .complaints import ComplaintEnd
from .contacts import Address, Contact
from .customers import Customer
from .families import Family, FamilyDefault, FamilyMerge
from .pieces import AllowedStep, Piece, Step, Tool
from .rates import EXTRAS, Rate
from .rollups import ALL_YEARS, CustomerYear, FamilyMonth, FamilyYear, Tally, YearTally

__all__ = [
    "ALL_YEARS",
    "EXTRAS",
    "Address",
    "AllowedStep",
    "Answer",
    "AnswerPiece",
    "Batch",
    "ComplaintEnd",
    "Contact",
    "Customer",
    "CustomerYear",
    "Family",
    "FamilyDefault",
    "FamilyMerge",
    "FamilyMonth",
    "FamilyYear",
    "ForeignItem",
    "Line",
    "LineChange",
    "LineMove",
    "OwnerChange",
    "Piece",
    "Rate",
    "Step",
    "Tally",
    "Tool",
    "YearTally",
]

for _name in ("Customer", "Family", "Line", "Tool"):
    guard(f"record.{_name}", may_change=True)
guard("record.Batch", may_change=True, derived={"closed"})
guard("record.Piece", may_change=True, derived={"steps_taken"})
for _name in (
    "Address",
    "AllowedStep",
    "Answer",
    "AnswerPiece",
    "ComplaintEnd",
    "Contact",
    "FamilyDefault",
    "FamilyMerge",
    "LineChange",
    "LineMove",
    "OwnerChange",
    "Step",
    "ForeignItem",
):
    guard(f"record.{_name}", may_change=False)
guard("record.Rate", may_change=False, sealed=True)
