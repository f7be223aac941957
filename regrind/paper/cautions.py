"""The cautions on papers for the bench. They defer to the wheel's maker, the law and trained people.

The wheel's marked maximum is a hard rule (29 CFR 1910.243(c)(5), Cal/OSHA title 8 section 3580,
WAC 296-806-40512); inspection before mounting is of the same texts. Grinding carbide sets cobalt free (OSHA
and NIOSH limits for cobalt). The cautions on a reversed wheel are common practice.
"""

SPEED = "A computed speed is never a permission: no wheel runs above the maximum speed marked on it."

GENERAL = (
    SPEED,
    "Inspect the wheel before mounting; ring-test it where its maker says so. Flanges clean and of equal size.",
    "Guards on and adjusted. Eye protection on. Stand to one side while the wheel comes up to speed.",
    "Carbide and cobalt dust and mist harm the lungs: extraction on, coolant clean, no blowing off with air.",
    "The wheel maker's instructions, local rules and trained people come before this sheet.",
)

REVERSED = (
    "A wheel that runs into the cutting edge can lift the tool off the stylus: take light cuts.",
    "Reverse the wheel only where spindle, flanges and nut are made for both directions: a nut can unscrew.",
)
