"""Bodies for the tests of the fit: numbers as round as can be, known exactly or with a spread."""

from __future__ import annotations

import numpy as np

from consult.body.estimate import Component, Dimension, Estimate
from consult.body.measured import Measured

ORDINARY = {
    "stature": 1640.0,
    "weight": 68.0,
    "popliteal_height": 400.0,
    "buttock_popliteal_length": 480.0,
    "elbow_rest_height": 235.0,
    "thigh_clearance": 150.0,
    "hip_breadth_sitting": 380.0,
    "eye_height_sitting": 745.0,
    "knee_height_sitting": 500.0,
    "sitting_height": 855.0,
    "hand_breadth": 80.0,
}


def body(measured: tuple[str, ...] = (), sd: float = 10.0, **dimensions: float) -> Estimate:
    """The ordinary body with some dimensions changed; all independent, with the same spread."""
    means = ORDINARY | dimensions
    component = Component("female", 1.0, np.array(list(means.values())), np.eye(len(means)) * sd**2)
    return Estimate(
        "a made-up body",
        {
            name: Dimension(m, sd, m - 1.6 * sd, m + 1.6 * sd, "made up")
            for name, m in means.items()
        },
        (component,),
        tuple(Measured(name, means[name], sd) for name in measured),
    )
