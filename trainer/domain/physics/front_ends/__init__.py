"""Front ends: what stands between the supply terminals and the load, and what a fault behind it sends to earth.

The identity: the sum of the live currents of equipment that meets the outside only through its
live conductors equals the current of its earth fault, i = v_x / R_f.
"""

from __future__ import annotations

import numpy as np

from trainer.domain.physics.front_ends.catalogue import FRONT_ENDS, FrontEndEntry
from trainer.domain.physics.front_ends.checking import FrontEndError, checked
from trainer.domain.physics.front_ends.parameters import FaultPoint, FrontEndParameters, Parameter
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import FrontEnd

__all__ = [
    "FRONT_ENDS",
    "FaultPoint",
    "FrontEndEntry",
    "FrontEndError",
    "FrontEndParameters",
    "Parameter",
    "waveform",
]

SAMPLES_PER_PERIOD = 360
"""One sample for each degree of the supply."""


def waveform(
    front_end: FrontEnd,
    fault_point: FaultPoint,
    parameters: FrontEndParameters | None = None,
    *,
    samples_per_period: int = SAMPLES_PER_PERIOD,
) -> Waveform:
    """The residual current in mA of an earth fault behind a front end: i = v_x / R_f.

    TN source with earthed neutral, 50 Hz, load running, steady state. The samples span one 50 Hz
    period, or the fewest that hold whole periods of the output frequency or of the burst.
    A fault behind galvanic separation sends no residual current at all.

    *Raises* FrontEndError when fault point and quantities do not go together.
    *Source*: circuit analysis; checked against circuit simulation in the tests.
    """
    circuit = checked(front_end, fault_point, parameters or FrontEndParameters(), samples_per_period)
    potential_v = FRONT_ENDS[front_end].solvers[fault_point](circuit)
    if circuit.galvanic_separation and fault_point is not FaultPoint.LINE:
        potential_v = np.zeros_like(potential_v)
    return Waveform.sampled(
        potential_v * (1000.0 / circuit.fault_resistance_ohm),
        periods=potential_v.size // circuit.samples,
    )
