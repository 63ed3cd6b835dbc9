"""Runs general-purpose circuit simulation (Debian package ngspice) and reads back one current."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

Samples = NDArray[np.float64]

APT_LINE = "apt-get install ngspice"
PROGRAM = shutil.which("ngspice")
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


def needs_ngspice() -> None:
    """Skip with the line that installs it; fail where CI is set, for there it must not be missing."""
    if PROGRAM is None:
        if os.environ.get("CI"):
            pytest.fail(f"ngspice is missing: {APT_LINE}")
        pytest.skip(f"ngspice is missing: {APT_LINE}")


def simulate(
    netlist: str, *, settle: int, periods: int, samples: int, step_us: float, watch: str = "i(vres)"
) -> Samples:
    """Residual current in mA at the half-step samples of the last ``periods`` 50 Hz periods.

    ``settle`` periods run before. ``samples`` are taken per period, shape (periods * samples,).
    """
    half_step_s = PERIOD_S / samples / 2.0
    start_s = settle * PERIOD_S
    end_s = start_s + periods * PERIOD_S
    control = (
        f".tran {half_step_s:.12g} {end_s + 4 * half_step_s:.12g} {start_s:.12g} {step_us:g}u uic\n"
        f".control\nrun\nlinearize {watch}\nset wr_singlescale\nset numdgt=12\n"
        f"wrdata result.txt {watch}\nquit\n.endc\n.end\n"
    )
    table = None
    said = ""
    for options in OPTIONS:
        table, said = _run(f"* circuit\n{DIODE}\n{options}\n{netlist}\n{control}")
        if table is not None and table[-1, 0] >= end_s - half_step_s:
            break
    if table is None:
        pytest.fail(f"ngspice wrote nothing:\n{said[-1500:]}\n{netlist}")
    wanted = start_s + (2 * np.arange(periods * samples) + 1) * half_step_s
    if table[-1, 0] < wanted[-1]:
        pytest.fail(f"ngspice stopped at {table[-1, 0]} s before {wanted[-1]} s:\n{said[-1500:]}")
    values: Samples = np.interp(wanted, table[:, 0], table[:, 1]) * 1000.0
    return values


def _run(deck: str) -> tuple[Samples | None, str]:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "circuit.cir").write_text(deck)
        command = [PROGRAM or "ngspice", "-b", "circuit.cir"]
        try:
            done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=TIMEOUT_S, check=False)
        except subprocess.TimeoutExpired:
            return None, f"no end within {TIMEOUT_S} s"
        result = Path(folder) / "result.txt"
        return np.loadtxt(result) if result.exists() else None, done.stdout + done.stderr
