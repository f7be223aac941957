"""The cautions on papers for the bench. They defer to the wheel's maker, the law and trained people.

The wheel's marked maximum is a hard rule (29 CFR 1910.243(c)(5), Cal/OSHA title 8 section 3580,
WAC 296-806-40512); inspection before mounting is of the same texts. Grinding carbide sets cobalt free (OSHA
and NIOSH limits for cobalt). What is said of a reversed wheel is common practice.
"""

SPEED = "A computed speed is never a permission: no wheel runs above the maximum speed marked on it."

GENERAL = (
    SPEED,
    "Look the wheel over before it is mounted; where the maker says so, ring it. Flanges clean and alike.",
    "Guards on and set. Eye protection on. Stand aside while a wheel comes up to speed.",
    "Carbide and cobalt dust and mist harm the lungs: extraction on, coolant clean, no dry blowing off.",
    "The wheel's maker, local rules and the people trained for this machine come before this sheet.",
)

REVERSED = (
    "Finishing with the wheel reversed, into the edge, can pull the tool off its stylus: light cuts.",
    "Reverse a wheel only on a spindle, flange and nut made to run both ways: a nut can unscrew.",
)
