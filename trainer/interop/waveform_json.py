"""Residual currents as the objects and tables that commands print."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from trainer.domain.physics.front_ends import FRONT_ENDS
from trainer.services.waveforms import Watched

WAVEFORM_FORMAT: Final = "protection-trainer/waveform"
FORMAT_VERSION: Final = 1


def waveform_json(watched: Watched) -> dict[str, Any]:
    """The samples, the figures, the class, and the verdict of each kind of device."""
    current = watched.waveform
    return {
        "format": WAVEFORM_FORMAT,
        "format_version": FORMAT_VERSION,
        "front_end": watched.front_end.front_end.value,
        "fault": watched.fault_point.value,
        "parameters": dict(watched.parameters),
        "duration_s": current.duration_s,
        "time_s": current.time_s.tolist(),
        "residual_current_ma": current.residual_current_ma.tolist(),
        "mean_ma": current.mean_ma,
        "rms_ma": current.rms_ma,
        "minimum_ma": current.minimum_ma,
        "maximum_ma": current.maximum_ma,
        "zero_interval_deg": current.zero_interval_deg(),
        "spectrum": [{"frequency_hz": each.frequency_hz, "rms_ma": each.rms_ma} for each in current.spectrum()],
        "classification": watched.residual_class.value,
        "least_type": watched.least_type.value,
        "rated_residual_operating_current_ma": watched.device.rated_residual_operating_current_ma,
        "standing_dc_ma": watched.device.standing_dc_ma,
        "devices": [
            {
                "type": name,
                "verdict": response.verdict.value,
                "reason": response.reason.value,
                "break_time_max_ms": response.most_ms,
            }
            for name, response in watched.responses.items()
        ],
    }


def front_ends_json() -> dict[str, Any]:
    """Every front end with its fault points and quantities."""
    return {
        "front_ends": [
            {
                "id": entry.front_end.value,
                "label": entry.label,
                "fault_points": [point.value for point in entry.fault_points],
                "parameters": [
                    {
                        "name": each.name,
                        "unit": each.unit,
                        "default": each.default,
                        "minimum": each.minimum,
                        "maximum": each.maximum,
                    }
                    for each in entry.parameters
                ],
            }
            for entry in FRONT_ENDS.values()
        ]
    }


def waveform_csv(watched: Watched) -> Iterator[str]:
    """Two columns, seconds and milliamperes, one line for each sample."""
    yield "time_s,residual_current_ma"
    pairs = zip(watched.waveform.time_s.tolist(), watched.waveform.residual_current_ma.tolist(), strict=True)
    for time_s, current_ma in pairs:
        yield f"{time_s:.6f},{current_ma:.3f}"
