"""Runs general-purpose circuit simulation (Debian package ngspice) and reads back one current."""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

Samples = NDArray[np.float64]

PERIOD_S = 0.02
TIMEOUT_S = 120

# Ideal parts made just real enough to converge: a diode that drops some 60 mV at 10 A.
DIODE = ".model dideal d(is=1e-9 n=0.1 rs=2m)"
OPTIONS = (
    ".options method=gear reltol=1e-4 abstol=1e-9 vntol=1e-6 itl4=200 rshunt=1e10",
    ".options method=trap reltol=1e-4 abstol=1e-9 vntol=1e-6 itl4=200 rshunt=1e10",
    ".options method=gear reltol=1e-3 abstol=1e-7 vntol=1e-5 itl4=400 rshunt=1e9",
)
"""Tried in turn: the simulator may find no step across a commutation with one and find it with the next."""


class Span(NamedTuple):
    """What to run and keep: 50 Hz periods before and kept, samples in each, longest step."""

    settle: int
    periods: int
    samples: int
    step_us: float

    @property
    def start_s(self) -> float:
        return self.settle * PERIOD_S

    @property
    def end_s(self) -> float:
        return (self.settle + self.periods) * PERIOD_S

    @property
    def half_step_s(self) -> float:
        return PERIOD_S / self.samples / 2.0


def simulate(netlist: str, span: Span) -> Samples:
    """Residual current in mA at the half-step samples of the kept periods, shape (periods * samples,)."""
    times, values = _recorded(netlist, "i(vres)", span)
    wanted = span.start_s + (2 * np.arange(span.periods * span.samples) + 1) * span.half_step_s
    current: Samples = np.interp(wanted, times, values) * 1000.0
    return current


def simulate_means(netlist: str, span: Span) -> Samples:
    """Like :func:`simulate`, but each value is the mean over its step: the charge that flowed in it.

    A capacitor of 1 mF collects the residual current, so no edge falls between two samples.
    """
    collecting = f"{netlist}\nbcharge 0 charge i=i(vres)\nccharge charge 0 1m ic=0\nrcharge charge 0 1e9"
    times, values = _recorded(collecting, "v(charge)", span)
    edges = span.start_s + 2 * np.arange(span.periods * span.samples + 1) * span.half_step_s
    current: Samples = np.diff(np.interp(edges, times, values)) / (2.0 * span.half_step_s)
    return current


def _recorded(netlist: str, watch: str, span: Span) -> tuple[Samples, Samples]:
    """Times in s and values of one quantity, from the end of settling on."""
    stop_s = span.end_s + 4 * span.half_step_s
    control = (
        f".tran {span.half_step_s:.12g} {stop_s:.12g} {span.start_s:.12g} {span.step_us:g}u uic\n"
        f".control\nrun\nlinearize {watch}\nset wr_singlescale\nset numdgt=12\n"
        f"wrdata result.txt {watch}\nquit\n.endc\n.end\n"
    )
    said = ""
    for options in OPTIONS:
        table, said = _run(f"* circuit\n{DIODE}\n{options}\n{netlist}\n{control}")
        if table is not None and table[-1, 0] >= span.end_s:
            return table[:, 0], table[:, 1]
    pytest.fail(f"ngspice did not reach {span.end_s} s:\n{said[-1500:]}\n{netlist}")


def _run(deck: str) -> tuple[Samples | None, str]:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "circuit.cir").write_text(deck)
        command = ["ngspice", "-b", "circuit.cir"]
        try:
            done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=TIMEOUT_S, check=False)
        except subprocess.TimeoutExpired:
            return None, f"no end within {TIMEOUT_S} s"
        result = Path(folder) / "result.txt"
        return np.loadtxt(result) if result.exists() else None, done.stdout + done.stderr
