"""What papers are made of: frozen values, already worked out and stored elsewhere. Papers compute nothing."""

from .drawing import LifeChart, LifePoint, Section
from .head import Customer, Heading, Instrument, Letterhead, Photo, Signed
from .job import BoxLine, JobLine, JobPiece, JobSetup, JobSheet, SetupCard, SetupSheet, WheelSpeed
from .labels import (
    ROLL_50X25,
    ROLL_62X29,
    SHEET_A4,
    SHEET_LETTER,
    STOCKS,
    ArrivalTag,
    DrillLabel,
    Grid,
    Label,
    LabelStock,
    NotGroundLabel,
    ReturnLabel,
)
from .quantity import Angle, Clearance, Length, Money, Page, Style, Unit
from .report import NotGround, Report, ReportLine, ReportPiece, State
from .review import FamilyRow, Review
from .slip import Charge, PackingSlip, SlipLine

__all__ = [
    "ROLL_50X25",
    "ROLL_62X29",
    "SHEET_A4",
    "SHEET_LETTER",
    "STOCKS",
    "Angle",
    "ArrivalTag",
    "BoxLine",
    "Charge",
    "Clearance",
    "Customer",
    "DrillLabel",
    "FamilyRow",
    "Grid",
    "Heading",
    "Instrument",
    "JobLine",
    "JobPiece",
    "JobSetup",
    "JobSheet",
    "Label",
    "LabelStock",
    "Length",
    "Letterhead",
    "LifeChart",
    "LifePoint",
    "Money",
    "NotGround",
    "NotGroundLabel",
    "PackingSlip",
    "Page",
    "Photo",
    "Report",
    "ReportLine",
    "ReportPiece",
    "ReturnLabel",
    "Review",
    "Section",
    "SetupCard",
    "SetupSheet",
    "Signed",
    "SlipLine",
    "State",
    "Style",
    "Unit",
    "WheelSpeed",
]
