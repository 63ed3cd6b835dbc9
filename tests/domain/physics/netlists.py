"""Circuits of the front ends as netlists, drawn from the circuit and not from the formula.

Node 0 is earth and the earthed neutral of the source. The live conductors pass through current
sensors; the source ``vres`` carries their sum, which is what a residual current device sees.
The fault is a resistor from the faulted node to earth.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from trainer.domain.physics.front_ends import FaultPoint
from trainer.domain.vocabulary import FrontEnd

Values = Mapping[str, float]
Drawn = tuple[list[str], dict[FaultPoint, str]]
"""Lines of the circuit behind the terminals, and the node of each fault point."""

SOURCE_OHM = 0.005


def source(values: Values, lines: int) -> list[str]:
    """Lines l1.. and neutral n behind sensors, and the sum of their currents through vres."""
    peak = math.sqrt(2.0) * values["supply_voltage_v"]
    text = []
    for number in range(1, lines + 1):
        degrees = -120.0 * (number - 1)
        text += [
            f"vl{number} g{number} 0 sin(0 {peak:.9g} 50 0 0 {degrees:g})",
            f"rs{number} g{number} t{number} {SOURCE_OHM:g}",
            f"vs{number} t{number} l{number} 0",
        ]
    text.append("vsn 0 n 0")
    total = "+".join([*(f"i(vs{number})" for number in range(1, lines + 1)), "i(vsn)"])
    return [*text, f"bres 0 res i={total}", "vres res 0 0"]


def bridge(*terminals: str, plus: str = "p", minus: str = "m") -> list[str]:
    """Diodes from each terminal to ``plus`` and from ``minus`` to each terminal."""
    text = []
    for terminal in terminals:
        text.append(f"du{terminal} {terminal} {plus} dideal")
        text.append(f"dd{terminal} {minus} {terminal} dideal")
    return text


def link(values: Values, nominal_v: float, *, middle: bool, plus: str = "p", load: bool = True) -> list[str]:
    """The link capacitor and the load across it, in two equal halves when the middle is needed.

    Where an inverter is the load, its discharge resistor alone stands here.
    """
    farad = values["link_capacitance_uf"] * 1e-6
    ohm = nominal_v**2 / values["load_power_w"] if load else 100e3
    # A little above the peak, so that the run does not begin with the inrush of a stiff source.
    start = f"ic={1.02 * nominal_v:.6g}"
    if not middle:
        return [f"c1 {plus} m {farad:g} {start}", f"rl {plus} m {ohm:.9g}"]
    half = f"ic={0.51 * nominal_v:.6g}"
    return [
        f"c1 {plus} x {2 * farad:g} {half}",
        f"c2 x m {2 * farad:g} {half}",
        f"rl1 {plus} x {ohm / 2:.9g}",
        f"rl2 x m {ohm / 2:.9g}",
    ]


def peak_v(values: Values) -> float:
    return math.sqrt(2.0) * values["supply_voltage_v"]


def load_ohm(values: Values) -> float:
    return values["supply_voltage_v"] ** 2 / values.get("load_power_w", 2000.0)


def pulse(name: str, start_s: float, width_s: float, period_s: float) -> str:
    """A gate from 0 to 1 V with edges of 1 us."""
    return f"v{name} {name} 0 pulse(0 1 {start_s:.9g} 1u 1u {width_s - 2e-6:.9g} {period_s:.9g})"


def switch(name: str, first: str, second: str, gate: str) -> str:
    """A conductance that follows its gate: 10 mohm closed, 100 Mohm open."""
    return f"b{name} {first} {second} i=v({first},{second})*(1e-8+100*v({gate}))"


def leg(name: str, out: str, duty: str, plus: str = "p", minus: str = "m") -> list[str]:
    """An ideal two-position switch: ``out`` joins ``plus`` while v(duty) is 1, ``minus`` while it is 0."""
    return [
        f"b{name} {out} {minus} v=v({duty})*v({plus},{minus})",
        f"b{name}p {plus} {minus} i=-v({duty})*i(b{name})",
    ]


def compare(name: str, reference: str, carrier: str) -> str:
    """1 V while the reference lies above the carrier, else 0, with edges steep against the period."""
    return f"b{name} {name} 0 v=0.5+0.5*tanh(400*(({reference})-v({carrier})))"


def triangle(hertz: float) -> str:
    """A carrier between -1 and 1 that starts at -1 and rises first."""
    half = 0.5 / hertz
    return f"vtri tri 0 pulse(-1 1 0 {half:.12g} {half:.12g} 1e-12 {1 / hertz:.12g})"


def resistive(values: Values, _point: FaultPoint) -> Drawn:
    return [*source(values, 1), f"rl l1 n {load_ohm(values):g}"], {FaultPoint.LINE: "l1"}


def phase_angle(values: Values, _point: FaultPoint) -> Drawn:
    delay_s = values["firing_angle_deg"] / 360.0 * 0.02
    text = [
        *source(values, 1),
        pulse("gate", delay_s, 0.01 - delay_s, 0.01),
        switch("triac", "l1", "c", "gate"),
        f"rl c n {load_ohm(values):g}",
    ]
    return text, {FaultPoint.LINE: "l1", FaultPoint.CONTROLLED_LINE: "c"}


def burst(values: Values, _point: FaultPoint) -> Drawn:
    on = values["burst_on_periods"]
    cycle = on + values["burst_off_periods"]
    text = [
        *source(values, 1),
        pulse("gate", 0.0, on * 0.02, cycle * 0.02),
        switch("triac", "l1", "c", "gate"),
        f"rl c n {load_ohm(values):g}",
    ]
    return text, {FaultPoint.LINE: "l1", FaultPoint.CONTROLLED_LINE: "c"}


def half_wave(values: Values, _point: FaultPoint) -> Drawn:
    delay_s = values["firing_angle_deg"] / 360.0 * 0.02
    text = [
        *source(values, 1),
        pulse("gate", delay_s, 0.01 - delay_s, 0.02),
        switch("thyristor", "l1", "k", "gate"),
        "d1 k p dideal",
        f"rl p n {load_ohm(values):g}",
    ]
    return text, {FaultPoint.LINE: "l1", FaultPoint.DC_POSITIVE: "p"}


def half_wave_capacitor(values: Values, _point: FaultPoint) -> Drawn:
    ohm = peak_v(values) ** 2 / values["load_power_w"]
    text = [
        *source(values, 1),
        "d1 l1 p dideal",
        f"c1 p n {values['link_capacitance_uf'] * 1e-6:g} ic=300",
        f"rl p n {ohm:g}",
    ]
    return text, {FaultPoint.LINE: "l1", FaultPoint.DC_POSITIVE: "p"}


POLES = {FaultPoint.LINE: "l1", FaultPoint.DC_POSITIVE: "p", FaultPoint.DC_NEGATIVE: "m"}
LINK = {**POLES, FaultPoint.DC_MIDDLE: "x"}


def bridge_resistive(values: Values, _point: FaultPoint) -> Drawn:
    return [*source(values, 1), *bridge("l1", "n"), f"rl p m {load_ohm(values):g}"], POLES


def bridge_capacitor(values: Values, point: FaultPoint) -> Drawn:
    middle = point is FaultPoint.DC_MIDDLE
    return [*source(values, 1), *bridge("l1", "n"), *link(values, peak_v(values), middle=middle)], LINK


def choke(values: Values, nominal_v: float, *, middle: bool) -> list[str]:
    amperes = values["load_power_w"] / nominal_v
    return [
        f"lc r p {values['choke_inductance_mh'] * 1e-3:g} ic={amperes:g}",
        *link(values, nominal_v, middle=middle),
    ]


def bridge_choke(values: Values, point: FaultPoint) -> Drawn:
    nominal_v = peak_v(values) * 2.0 / math.pi
    text = [*source(values, 1), *bridge("l1", "n", plus="r")]
    return [*text, *choke(values, nominal_v, middle=point is FaultPoint.DC_MIDDLE)], LINK


def bridge_half_controlled(values: Values, _point: FaultPoint) -> Drawn:
    delay_s = values["firing_angle_deg"] / 360.0 * 0.02
    text = [*source(values, 1)]
    for name, terminal, start_s in (("1", "l1", delay_s), ("2", "n", 0.01 + delay_s)):
        text += [
            pulse(f"gate{name}", start_s, 0.01 - delay_s, 0.02),
            switch(f"thyristor{name}", terminal, f"k{name}", f"gate{name}"),
            f"du{name} k{name} p dideal",
            f"dd{name} m {terminal} dideal",
        ]
    return [*text, f"rl p m {load_ohm(values):g}"], POLES


def bridge_power_factor_stage(values: Values, _point: FaultPoint) -> Drawn:
    """A boost stage with synchronous rectifier at 40 kHz and a filter capacitor behind the bridge.

    Its control makes the choke current follow v / R_e: v_fall is the share of a carrier period in
    which the choke feeds the link.
    """
    link_v = values["link_voltage_v"]
    text = [
        *source(values, 1),
        *bridge("l1", "n", plus="r"),
        f"vp p m {link_v:g}",
        "cin r m 0.22u ic=0",
        "vlc r r1 0",
        "lc r1 q 2m ic=0",
        "vtri tri 0 pulse(0 1 0 12.5u 12.5u 1e-12 25u)",
        f"bfall fall 0 v=(v(r,m)-15*(v(r,m)/{load_ohm(values):g}-i(vlc)))/{link_v:g}",
        "bup up 0 v=0.5+0.5*tanh(200*(v(fall)-v(tri)))",
        *leg("boost", "q", "up"),
    ]
    return text, POLES


def bridge_between_lines(values: Values, point: FaultPoint) -> Drawn:
    middle = point is FaultPoint.DC_MIDDLE
    nominal_v = peak_v(values) * math.sqrt(3.0)
    return [*source(values, 2), *bridge("l1", "l2"), *link(values, nominal_v, middle=middle)], LINK


def three_pulse(values: Values, _point: FaultPoint) -> Drawn:
    diodes = [f"du{number} l{number} p dideal" for number in (1, 2, 3)]
    return [*source(values, 3), *diodes, f"rl p n {load_ohm(values):g}"], POLES


def six_pulse_capacitor(values: Values, point: FaultPoint) -> Drawn:
    middle = point is FaultPoint.DC_MIDDLE
    nominal_v = peak_v(values) * math.sqrt(3.0)
    return [*source(values, 3), *bridge("l1", "l2", "l3"), *link(values, nominal_v, middle=middle)], LINK


def six_pulse_choke(values: Values, point: FaultPoint) -> Drawn:
    nominal_v = peak_v(values) * 3.0 * math.sqrt(3.0) / math.pi
    text = [*source(values, 3), *bridge("l1", "l2", "l3", plus="r")]
    return [*text, *choke(values, nominal_v, middle=point is FaultPoint.DC_MIDDLE)], LINK


def inverter(values: Values, nominal_v: float) -> list[str]:
    """Three legs with sine-triangle modulation on a star of motor windings; voltage follows frequency."""
    hertz = values["output_frequency_hz"]
    depth = min(1.0, hertz / 50.0)
    winding = 0.25 * nominal_v**2 / values["load_power_w"]
    text = [triangle(values["carrier_frequency_hz"])]
    for number, degrees in enumerate((0.0, -120.0, 120.0), start=1):
        text += [
            f"vref{number} ref{number} 0 sin(0 {depth:g} {hertz:g} 0 0 {degrees:g})",
            compare(f"s{number}", f"v(ref{number})", "tri"),
            *leg(f"leg{number}", f"o{number}", f"s{number}"),
            f"rw{number} o{number} w{number} {winding:g}",
            f"lw{number} w{number} star {0.5 * winding / (2 * math.pi * 50):g}",
        ]
    return text


def converter_single_phase(values: Values, point: FaultPoint) -> Drawn:
    middle = point is FaultPoint.DC_MIDDLE
    nominal_v = peak_v(values)
    text = [*source(values, 1), *bridge("l1", "n"), *link(values, nominal_v, middle=middle, load=middle)]
    text += [] if middle else inverter(values, nominal_v)
    return text, {**LINK, FaultPoint.INVERTER_OUTPUT: "o1"}


def converter_three_phase(values: Values, point: FaultPoint) -> Drawn:
    middle = point is FaultPoint.DC_MIDDLE
    nominal_v = peak_v(values) * math.sqrt(3.0)
    text = [*source(values, 3), *bridge("l1", "l2", "l3")]
    text += link(values, nominal_v, middle=middle, load=middle)
    text += [] if middle else inverter(values, nominal_v)
    return text, {**LINK, FaultPoint.INVERTER_OUTPUT: "o1"}


FEED_A = 8.0
"""Current that an inverter feeds into the supply, r.m.s."""

INVERTER_CARRIER_HZ = 16000.0


def direct_voltage(values: Values) -> list[str]:
    half = values["link_voltage_v"] / 2.0
    return [f"vdc1 p x {half:g}", f"vdc2 x m {half:g}", triangle(INVERTER_CARRIER_HZ)]


def wanted_v(line: str, current: str, number: int = 1) -> str:
    """Voltage a leg must give to feed FEED_A in phase with the line: v + 8 ohm (i_wanted - i)."""
    angle = f"6.283185307179586*50*time-{number - 1}*2.0943951023931953"
    return f"(v({line})+8*({math.sqrt(2.0) * FEED_A:.9g}*sin({angle})-({current})))"


def inverter_full_bridge(values: Values, _point: FaultPoint) -> Drawn:
    wanted = wanted_v("l1", "(i(va)-i(vb))/2")
    text = [
        *source(values, 1),
        *direct_voltage(values),
        compare("sa", f"{wanted}/{values['link_voltage_v']:g}", "tri"),
        "bsb sb 0 v=1-v(sa)",
        *leg("lega", "a", "sa"),
        *leg("legb", "b", "sb"),
        "va a a1 0",
        "la a1 l1 1.5m",
        "vb b b1 0",
        "lb b1 n 1.5m",
    ]
    return text, LINK


def inverter_line_frequency_leg(values: Values, _point: FaultPoint) -> Drawn:
    volt = values["link_voltage_v"]
    wanted = wanted_v("l1", "i(va)")
    text = [
        *source(values, 1),
        *direct_voltage(values),
        "bpos pos 0 v=0.5+0.5*tanh(5*(v(l1)-1))",
        "bneg neg 0 v=0.5+0.5*tanh(5*(-v(l1)-1))",
        compare("sa", f"2*({wanted}/{volt:g}+v(neg))-1", "tri"),
        *leg("lega", "a", "sa"),
        switch("negative", "n", "p", "neg"),
        switch("positive", "n", "m", "pos"),
        "dnp n p dideal",
        "dnm m n dideal",
        "va a a1 0",
        "la a1 l1 3m",
    ]
    return text, LINK


def inverter_half_bridge(values: Values, _point: FaultPoint) -> Drawn:
    wanted = wanted_v("l1", "i(va)")
    text = [
        *source(values, 1),
        *direct_voltage(values),
        compare("sa", f"2*{wanted}/{values['link_voltage_v']:g}", "tri"),
        *leg("lega", "a", "sa"),
        "va a a1 0",
        "la a1 l1 3m",
        "vmid x n 0",
    ]
    return text, LINK


def inverter_three_phase(values: Values, _point: FaultPoint) -> Drawn:
    text = [*source(values, 3), *direct_voltage(values), "bmean mean 0 v=(i(va1)+i(va2)+i(va3))/3"]
    for number in (1, 2, 3):
        wanted = wanted_v(f"l{number}", f"i(va{number})-v(mean)", number)
        text += [
            compare(f"sa{number}", f"2*{wanted}/{values['link_voltage_v']:g}", "tri"),
            *leg(f"leg{number}", f"a{number}", f"sa{number}"),
            f"va{number} a{number} b{number} 0",
            f"la{number} b{number} l{number} 3m",
        ]
    return text, LINK


CIRCUITS: dict[FrontEnd, Callable[[Values, FaultPoint], Drawn]] = {
    FrontEnd.RESISTIVE: resistive,
    FrontEnd.PHASE_ANGLE: phase_angle,
    FrontEnd.BURST: burst,
    FrontEnd.HALF_WAVE: half_wave,
    FrontEnd.HALF_WAVE_CAPACITOR: half_wave_capacitor,
    FrontEnd.BRIDGE_RESISTIVE: bridge_resistive,
    FrontEnd.BRIDGE_CAPACITOR: bridge_capacitor,
    FrontEnd.BRIDGE_CHOKE: bridge_choke,
    FrontEnd.BRIDGE_HALF_CONTROLLED: bridge_half_controlled,
    FrontEnd.BRIDGE_POWER_FACTOR_STAGE: bridge_power_factor_stage,
    FrontEnd.BRIDGE_BETWEEN_LINES: bridge_between_lines,
    FrontEnd.THREE_PULSE: three_pulse,
    FrontEnd.SIX_PULSE_CAPACITOR: six_pulse_capacitor,
    FrontEnd.SIX_PULSE_CHOKE: six_pulse_choke,
    FrontEnd.CONVERTER_SINGLE_PHASE: converter_single_phase,
    FrontEnd.CONVERTER_THREE_PHASE: converter_three_phase,
    FrontEnd.INVERTER_FULL_BRIDGE: inverter_full_bridge,
    FrontEnd.INVERTER_LINE_FREQUENCY_LEG: inverter_line_frequency_leg,
    FrontEnd.INVERTER_HALF_BRIDGE: inverter_half_bridge,
    FrontEnd.INVERTER_THREE_PHASE: inverter_three_phase,
}


def netlist(front_end: FrontEnd, point: FaultPoint, values: Values) -> str:
    """The whole circuit with its fault to earth."""
    text, nodes = CIRCUITS[front_end](values, point)
    if any(line.startswith("dd") for line in text):
        # A link that floats has stray capacitance and leakage to earth; the simulator needs it to converge.
        text = [*text, "cstray m 0 100p", "rstray m 0 100meg"]
    return "\n".join([*text, f"rf {nodes[point]} 0 {values['fault_resistance_ohm']:g}"])
