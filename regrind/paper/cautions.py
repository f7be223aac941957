"""The cautions on papers and pages for the bench, one list: they defer to the wheel's maker, the law, trained people.

The wheel's marked maximum is a hard rule (29 CFR 1910.243(c)(5), Cal/OSHA title 8 section 3580,
WAC 296-806-40512); inspection and ring test before mounting are of the same texts. Grinding carbide sets cobalt free
(OSHA and NIOSH limits for cobalt). That a cracked drill is never sharpened is read in a trade text
(shared/29_kinds_published.csv). What is written of gloves, sleeves, hair, setting, burning, quenching, cobalt in
coolant, brazed tips and a reversed wheel is common practice, from memory.
"""

SPEED = "A computed speed is never a permission: no wheel runs above the maximum speed marked on it."

GENERAL = (
    SPEED,
    "Inspect the wheel before mounting; ring-test it where its maker says so. Flanges clean and of equal size.",
    "Guards on and adjusted. Eye protection on. Stand to one side while the wheel comes up to speed.",
    "No gloves, loose sleeves, jewellery or loose hair near a turning wheel.",
    "Set stylus, stops and work holding, and measure, with the wheel stopped.",
    "The wheel maker's instructions, local rules and trained people come before this sheet.",
)

REVERSED = (
    "A wheel that runs into the cutting edge can lift the tool off the stylus: take light cuts.",
    "Reverse the wheel only where spindle, flanges and nut are made for both directions: a nut can unscrew.",
)

END = ("Bring the end to the wheel by the infeed dial alone: a tool pushed into the wheel by hand breaks both.",)

POINT = (
    "Bring the point to the wheel by the infeed dial; a drill held by hand against the wheel is no setup of this card.",
    "A cracked or split drill is never sharpened: look at the lips and the web once more.",
)

CHAMFER_OF_REAMER = (
    "Hold a reamer between centres or in a true chuck, the wheel stopped while it is set: a chamfer that runs out cuts "
    "oversize.",
)

CHAMFER_OF_TAP = (
    "Hold a tap by its shank in a true collet, or between its centres, the wheel stopped while it is set: lands that "
    "are relieved unequally cut the thread oversize.",
)

PERIPHERY = (
    "A thin cutter springs on its arbor: clamp it between flanges, and take light cuts with the edge on the rest.",
)

BY_HAND = ("Work without figures: light cuts, and measure often with the wheel stopped.",)

STEEL = (
    "High-speed steel burns: light infeeds, a sharp wheel, coolant without a break. A blue or brown edge has lost "
    "its hardness and is ground away.",
)

CARBIDE = (
    "Carbide and cobalt dust and mist harm the lungs: extraction on, no blowing off with air.",
    "Hot carbide is not quenched, it cracks: coolant from the first contact on, or none at all.",
)

COBALT = (
    "Cobalt goes into the coolant and through the skin: change coolant in time, wash hands and arms, "
    "wear no soaked clothes.",
)

TIPPED = (
    "The braze lets go where a tip gets hot: light cuts, coolant throughout, and no tip that is loose or cracked.",
    "Steel and carbide need wheels of their own: relieve the steel body first, the tip is ground by diamond alone.",
)

STEELS = ("HSS", "HSS-Co")


def by_material(material: str) -> tuple[str, ...]:
    """What the tool's material asks for. material: HSS, HSS-Co, carbide, tipped, or anything else for unknown.

    A tool of unknown material gets all of it; plain high-speed steel sets no cobalt free worth a caution.
    """
    if material == "HSS":
        return STEEL
    if material == "HSS-Co":
        return (*STEEL, *COBALT)
    if material == "carbide":
        return (*CARBIDE, *COBALT)
    if material == "tipped":
        return (*TIPPED, *STEEL, *CARBIDE, *COBALT)
    return (*STEEL, *CARBIDE, *COBALT)


def gather(*groups: tuple[str, ...]) -> tuple[str, ...]:
    """Groups of cautions, each caution once, in the order in which they come."""
    return tuple(dict.fromkeys(caution for group in groups for caution in group))
