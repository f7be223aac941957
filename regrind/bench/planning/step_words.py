"""The words for the steps of a plan, by the short names that the computation gives them."""

TEETH, FACE, DAMAGE = "How the teeth stand", "The face as it is", "How deep the damage is"
SIZE, TOOTH, LIMIT, VERDICT = "What is ground", "The tooth after", "Against the limits", "What follows"

PARTS = {
    "tooth_radius": TEETH,
    "low_tooth_lowest": TEETH,
    "low_tooth_highest": TEETH,
    "rake_carried": FACE,
    "face_arc": FACE,
    "depth_of_mark": DAMAGE,
    "cut_back": SIZE,
    "diameter_after": SIZE,
    "removal_radial": SIZE,
    "removal_radial_least": SIZE,
    "removal_radial_most": SIZE,
    "usable_length_after": SIZE,
    "rake_on_face": TOOTH,
    "zero_rake_diameter": TOOTH,
    "flute_depth_after": TOOTH,
    "core_ratio": TOOTH,
    "helix_after": TOOTH,
    "land_after": TOOTH,
    "heel_drop": TOOTH,
    "limit": LIMIT,
    "regrinds_left": VERDICT,
    "verdict": VERDICT,
}

STEPS = {
    "tooth_radius": "Radius of each tooth",
    "low_tooth_lowest": "Lowest tooth, at the worst",
    "low_tooth_highest": "Lowest tooth, at the best",
    "rake_carried": "Rake carried down from the nominal diameter",
    "face_arc": "Arc of the flute face",
    "depth_of_mark": "Depth of the marks that the cut-back leaves",
    "cut_back": "Cut back from the end",
    "diameter_after": "Diameter after",
    "removal_radial": "Off each tooth, radial",
    "removal_radial_least": "Off a tooth, radial, at least",
    "removal_radial_most": "Off a tooth, radial, at most",
    "usable_length_after": "Usable length after",
    "rake_on_face": "Rake at the new edge",
    "zero_rake_diameter": "Diameter at which the rake is gone",
    "flute_depth_after": "Flute depth after",
    "core_ratio": "Core over diameter",
    "helix_after": "Helix after",
    "land_after": "Primary land after, the secondary left alone",
    "heel_drop": "Drop at the heel of the land",
    "regrinds_left": "Regrinds left",
    "verdict": "Verdict",
}

LIMITS = {
    "diameter": "diameter",
    "usable_length": "usable length",
    "rake_deg": "rake",
    "flute_depth": "flute depth",
    "published_reduction": "published largest reduction",
    "diameter_floor": "smallest diameter usually left",
    "flute_floor": "shortest flute usually left",
}

# A code that ends in "_" is the start of several; what follows it is named in the words.
REASONS = {
    "outside_": "outside the limit: {}",
    "too_close_": "too close to call: {}",
    "rests_on_default_": "rests on a usual value, not a measured one: {}",
    "rake_from_assumed_arc": "the rake is found from an assumed face: ask, never scrap",
    "mark_beyond_reach": "a mark lies behind the wheel’s reach",
    "measure_per_tooth": "measure tooth by tooth: the total reading leaves too wide a range",
    "gash_again": "the end has to be gashed again",
    "no_option_left": "no flute or no length is left",
}
