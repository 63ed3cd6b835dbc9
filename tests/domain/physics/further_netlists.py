"""Circuits that set no threshold: they come after the classification and only ask it.

Each gives its lines and the faulted node; the fault is a resistor of one kilohm to earth.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from tests.domain.physics.netlists import bridge, leg, load_ohm, peak_v, pulse, source, switch

VALUES = {"supply_voltage_v": 230.0, "load_power_w": 2000.0}
FAULT_OHM = 1000.0


def voltage_doubler() -> list[str]:
    """One line charges two capacitors in turn; their middle is neutral. Fault at the upper end."""
    ohm = (2.0 * peak_v(VALUES)) ** 2 / VALUES["load_power_w"]
    return [
        *source(VALUES, 1),
        "du1 l1 p dideal",
        "dd1 m l1 dideal",
        "c1 p n 1m ic=320",
        "c2 n m 1m ic=320",
        f"rl p m {ohm:g}",
        f"rf p 0 {FAULT_OHM:g}",
    ]


def twelve_pulse() -> list[str]:
    """Two six-pulse bridges in parallel, one behind a star-delta transformer. Fault at the positive pole."""
    text = [*source(VALUES, 3), *bridge("l1", "l2", "l3", plus="ra")]
    for number, (first, second) in enumerate((("a", "b"), ("b", "c"), ("c", "a")), start=1):
        # Ideal winding pair: star on the supply, delta behind, equal line voltages.
        text += [
            f"vw{number} w{number} {second} 0",
            f"ew{number} {first} w{number} l{number} star 1.7320508",
            f"fw{number} l{number} star vw{number} -1.7320508",
            f"rm{number} l{number} star 100k",
        ]
    text += [*bridge("a", "b", "c", plus="rb", minus="mb"), "la ra p 4m", "lb rb p 4m", "lm mb m 4m"]
    nominal_v = peak_v(VALUES) * 3.0 * math.sqrt(3.0) / math.pi
    text += [f"c1 p m 1m ic={nominal_v:g}", f"rl p m {nominal_v**2 / 7500.0:g}", "rstar star 0 1meg"]
    return [*text, "cstray m 0 100p", "cstray2 mb 0 100p", f"rf p 0 {FAULT_OHM:g}"]


def controlled_six_pulse(firing_angle_deg: float) -> list[str]:
    """Six thyristors fired after the natural commutation, choke and resistor. Fault at the positive pole."""
    text = [*source(VALUES, 3)]
    for number in (1, 2, 3):
        natural_deg = 30.0 + 120.0 * (number - 1)
        for side, shift_deg in (("u", 0.0), ("d", 180.0)):
            start_deg = (natural_deg + firing_angle_deg + shift_deg) % 360.0
            name = f"{side}{number}"
            text.append(_gate(f"gate{name}", start_deg, 120.0))
            text.append(switch(f"s{name}", *_arm(side, number), f"gate{name}"))
        text += [f"du{number} ku{number} p dideal", f"dd{number} m kd{number} dideal"]
    nominal_v = peak_v(VALUES) * 3.0 * math.sqrt(3.0) / math.pi * math.cos(math.radians(firing_angle_deg))
    ohm = nominal_v**2 / 5000.0
    text += [f"ll p q 50m ic={5000.0 / nominal_v:g}", f"rl q m {ohm:g}", "cstray m 0 100p", "cstray2 p 0 100p"]
    return [*text, f"rf p 0 {FAULT_OHM:g}"]


def _arm(side: str, number: int) -> tuple[str, str]:
    return (f"l{number}", f"ku{number}") if side == "u" else (f"kd{number}", f"l{number}")


def _gate(name: str, start_deg: float, width_deg: float) -> str:
    """A gate that is 1 V for an interval of each period; one that wraps is drawn from its gap."""
    start_s, width_s = start_deg / 18000.0, width_deg / 18000.0
    if start_s + width_s <= 0.02:
        return pulse(name, start_s, width_s, 0.02)
    gap_s = start_s + width_s - 0.02
    return f"v{name} {name} 0 pulse(1 0 {gap_s:.9g} 1u 1u {0.02 - width_s - 2e-6:.9g} 0.02)"


def totem_pole() -> list[str]:
    """A power-factor stage with a line-frequency neutral leg and a switched line leg. Fault at the positive pole."""
    angle = "6.283185307179586*50*time"
    wanted = f"(v(l1)-8*({math.sqrt(2.0) * 8.0:g}*sin({angle})-i(vlc)))"
    return [
        *source(VALUES, 1),
        "vp p m 400",
        "vtri tri 0 pulse(-1 1 0 12.5u 12.5u 1e-12 25u)",
        "bpos pos 0 v=0.5+0.5*tanh(5*(v(l1)-1))",
        "bneg neg 0 v=0.5+0.5*tanh(5*(-v(l1)-1))",
        switch("negative", "n", "p", "neg"),
        switch("positive", "n", "m", "pos"),
        "dnp n p dideal",
        "dnm m n dideal",
        "vlc l1 r1 0",
        "lc r1 q 1m ic=0",
        f"bup up 0 v=0.5+0.5*tanh(400*(2*({wanted}/400+v(neg))-1-v(tri)))",
        *leg("boost", "q", "up"),
        f"rf p 0 {FAULT_OHM:g}",
    ]


def separated_bridge() -> list[str]:
    """A bridge with capacitor behind a transformer with two separate windings. Fault at the positive pole."""
    return [
        *source(VALUES, 1),
        "rp l1 a1 0.2",
        "l1w a1 n 5 ic=0",
        "l2w b1 b2 5 ic=0",
        "kw l1w l2w 0.9995",
        *bridge("b1", "b2"),
        "c1 p m 1m ic=320",
        f"rl p m {peak_v(VALUES) ** 2 / VALUES['load_power_w']:g}",
        f"rf p 0 {FAULT_OHM:g}",
    ]


def full_wave_bridge() -> list[str]:
    """The same bridge without the transformer."""
    return [
        *source(VALUES, 1),
        *bridge("l1", "n"),
        f"rl p m {load_ohm(VALUES):g}",
        f"rf p 0 {FAULT_OHM:g}",
    ]


CIRCUITS: dict[str, Callable[[], list[str]]] = {
    "voltage doubler": voltage_doubler,
    "twelve-pulse": twelve_pulse,
    "controlled six-pulse, 30 deg": lambda: controlled_six_pulse(30.0),
    "controlled six-pulse, 60 deg": lambda: controlled_six_pulse(60.0),
    "totem-pole power-factor stage": totem_pole,
    "bridge behind a transformer": separated_bridge,
    "bridge without transformer": full_wave_bridge,
}
