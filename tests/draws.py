"""How examples are drawn where a test asks for nothing else."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# A machine with other work draws slowly, which is no fault of what is tested.
UNHURRIED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
