"""The words of the trade, for somebody who has never heard them: what is measured, and the chair.

What a measure decides is what ``fit.rules`` makes of it; the rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

MEASURED: Mapping[str, tuple[str, str]] = {
    "stature": (
        "Height",
        "With the weight, consult estimates every other measure from it. From memory is fine.",
    ),
    "popliteal_height": (
        "Lower leg (popliteal height)",
        "Decides how high the seat may be, so that the feet are flat on the floor.",
    ),
    "heel": ("Heel", "The shoes lift the lower leg, so the seat may be that much higher."),
    "buttock_popliteal_length": (
        "Thigh length (buttock to popliteal)",
        "Decides how deep the seat may be, so that it ends before the hollow of the knee.",
    ),
    "elbow_rest_height": (
        "Elbow height (elbow rest height)",
        "With the desk it decides how high to sit; and how high the armrests have to go.",
    ),
    "hip_breadth_sitting": ("Hip width (hip breadth)", "Decides how wide the seat has to be."),
    "thigh_clearance": (
        "Thigh thickness (thigh clearance)",
        "Decides how much room the legs need between the seat and the desk.",
    ),
    "eye_height_sitting": ("Eye height", "Decides how high the screen should stand."),
    "desk_height": (
        "Desk height",
        "If the desk is too high for the elbows, the seat goes up, and a footrest goes under the "
        "feet.",
    ),
    "desk_thickness": (
        "Desk thickness",
        "Whatever hangs under the top takes room from the legs. A drawer counts.",
    ),
}
"""Measure, as ``picture.measures`` has it -> its name and what it decides."""

OF_THE_CHAIR: Mapping[str, str] = {
    "Seat height": "From the floor to the top of the seat, with somebody on it.",
    "Gas lift": "The column under the seat. It sets the seat height; each one has its own range.",
    "Seat depth": "From the front edge of the seat to the back.",
    "Seat slide": "Lets the seat go forward or back, which makes it deeper or shorter.",
    "Backrest": "The back of the chair.",
    "Lumbar support": "The part of the back that fills the hollow above the belt.",
    "Armrests": "They carry the forearms. They should not hit the desk.",
    "Castors": "The wheels. Hard ones for carpet, soft ones for a hard floor.",
    "Rating": "The weight that a part is built for.",
    "Footrest": "Carries the feet if the seat has to be higher than the lower leg.",
    "Set-up": "What the caller does to the chair once it has come, step by step.",
    "Caution": "What is said before any advice, word for word. A stop ends the advice.",
}
"""Word -> what it means."""
