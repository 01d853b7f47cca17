"""Where each rule of the fit comes from, said once and with its honest mark.

'From memory' means that nobody opened the text while this was written; 'common practice, no
source' means that the trade does it and no text was found.
"""

from __future__ import annotations

LEG_BAND = (
    "Gouvali & Boudolos 2006, Applied Ergonomics 37 (from memory); "
    "a knee of about a right angle is common practice, no source"
)
DESK_FIRST = (
    "UK workstation guidance: seat so that the elbows suit the desk, then a footrest if the feet "
    "are not supported"
)
KEPT_UP = (
    "knees below the hips, no low seats: hospital leaflets on hip replacement (Leeds Teaching "
    "Hospitals, RNOH)"
)
SEAT_DEPTH = (
    "three fingers behind the knee: common practice, no source; "
    "never outside the band of Parcells et al. 1999 (from memory)"
)
SEAT_WIDTH = (
    "hip breadth and a margin: common practice, no source; "
    "upper end Gouvali & Boudolos 2006 (from memory)"
)
ELBOW_REST = "armrest at sitting elbow height: Pheasant's definitions; the band is common practice"
FOREARM_LEVEL = "forearm about level: ISO 9241-5 (from memory); the band is common practice"
THIGH_ROOM = (
    "thigh and a margin below the desk: Castellucci et al. 2014 (from memory); "
    "the margin is common practice"
)
FOOTREST = "a footrest where the feet are not supported: UK workstation guidance"
SCREEN_TOP = "HSE 2022 and DGUV 115-401: screen top level with the eyes or lower"
SCREEN_TOP_VARIFOCAL = (
    "Cal/OSHA: lower still for such lenses; how much lower is common practice, no source"
)
STANDING = "elbow height when standing, forearm about level: common practice, no source"
HEEL = "shoe allowance of a furniture study, Parvez et al. 2018, table 5"
ARMS_AT_DESK = (
    "lower or remove armrests that keep the chair from the desk: UK workstation guidance; "
    "the kinds of arm are common practice, no source"
)
SHORT_LEGS = "a shorter gas lift first, a footrest second: common practice, no source"
RANGE = "the range on sale"
