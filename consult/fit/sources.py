"""Where each rule of the fit comes from: names of entries in ``trees/sources.yaml``.

What each text says, and how we have it, stands there. Two names mean that one gives the rule and
the other the figure beside it, such as a margin.
"""

from __future__ import annotations

COMMON = ("common_practice",)
LEG_BAND = ("gouvali_2006", "common_practice")
"""Its band; a knee of about a right angle is common practice."""
DESK_FIRST = ("aberystwyth_12_points",)
KEPT_UP = ("leeds_hip", "rnoh_hip")
SEAT_DEPTH = ("common_practice", "parcells_1999")
"""Three fingers behind the knee, and never outside the ratio of the second. HSE's 20 to 30 mm
(``hse_good_posture``) is less than three fingers of most people: it is not the rule used."""
SEAT_WIDTH = ("common_practice", "gouvali_2006")
"""A margin over the hips, and the upper end of the second."""
ELBOW_REST = ("pheasant_bodyspace", "common_practice")
FOREARM_LEVEL = ("iso_9241_5", "common_practice")
THIGH_ROOM = ("castellucci_2014", "common_practice")
FOOTREST = ("aberystwyth_12_points",)
SCREEN_TOP = ("hse_good_posture", "dguv_115_401")
SCREEN_TOP_VARIFOCAL = ("cal_osha_easy_ergonomics", "common_practice")
"""Lower for such lenses; how much lower is common practice."""
STANDING = COMMON
HEEL = ("parvez_2018",)
ARMS_AT_DESK = ("aberystwyth_12_points", "common_practice")
SHORT_LEGS = COMMON
RANGE = ("our_range",)
GENERAL = ("our_words",)
"""What holds of all advice: it is general, and not medical."""
