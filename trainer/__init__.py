"""Protection Trainer: invented electrical installations whose protection the learner chooses."""

from __future__ import annotations

__version__ = "0.1.0"
