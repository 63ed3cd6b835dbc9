"""``trainer waveform``: the residual current of a fault behind a front end."""

from __future__ import annotations

import click

from trainer.cli.output import JSON, TEXT, errors_as, print_json
from trainer.domain.errors import OutOfRangeError, Problem
from trainer.domain.physics.front_ends import FRONT_ENDS
from trainer.domain.vocabulary import ResidualDelay
from trainer.explain.caution import CAUTION
from trainer.explain.responses import verdict_words
from trainer.interop.waveform_json import front_ends_json, waveform_csv, waveform_json
from trainer.services.waveforms import Device, Watched, watch

CSV = "csv"


@click.command()
@click.argument("front_end", required=False)
@click.option("--fault", default="", help="Where the insulation fails; by default where the highest type is asked for.")
@click.option("--set", "quantities", multiple=True, metavar="NAME=VALUE", help="A quantity, such as load_power_w=3000.")
@click.option("--rating", type=float, default=30.0, show_default=True, help="Rated residual operating current in mA.")
@click.option("--standing-dc", type=float, default=0.0, show_default=True, help="Standing smooth d.c. in mA.")
@click.option("--selective", is_flag=True, help="Ask about a selective (S) device.")
@click.option("--list", "listing", is_flag=True, help="List the front ends with fault points and quantities.")
@click.option("--format", "form", type=click.Choice([TEXT, JSON, CSV]), default=TEXT, show_default=True)
def waveform(
    front_end: str | None,
    fault: str,
    quantities: tuple[str, ...],
    rating: float,
    standing_dc: float,
    selective: bool,
    listing: bool,
    form: str,
) -> None:
    """Print the residual current of an earth fault behind FRONT_END and what each kind of device makes of it."""
    if listing:
        _list(form)
        return
    if front_end is None:
        raise click.UsageError("name a front end, or list them with --list")
    delay = ResidualDelay.S if selective else ResidualDelay.GENERAL
    device = Device(rated_residual_operating_current_ma=rating, delay=delay, standing_dc_ma=standing_dc)
    with errors_as(form):
        watched = watch(front_end, fault, _quantities(quantities), device)
    if form == JSON:
        print_json(waveform_json(watched))
    elif form == CSV:
        for line in waveform_csv(watched):
            click.echo(line)
    else:
        click.echo(_text(watched))


def _quantities(given: tuple[str, ...]) -> dict[str, float]:
    """NAME=VALUE pairs as numbers. *Raises* OutOfRangeError with every pair that is none."""
    found: dict[str, float] = {}
    problems: list[Problem] = []
    for each in given:
        name, _, text = each.partition("=")
        try:
            found[name] = float(text)
        except ValueError:
            problems.append(Problem(path=name or "--set", value=text, problem="needs a number after ="))
    if problems:
        raise OutOfRangeError(*problems)
    return found


def _list(form: str) -> None:
    if form == JSON:
        print_json(front_ends_json())
        return
    for entry in FRONT_ENDS.values():
        click.echo(f"{entry.front_end.value}: {entry.label}")
        click.echo(f"  faults: {', '.join(entry.fault_points)}")
        for each in entry.parameters:
            reach = f"{each.minimum:g} to {each.maximum:g} {each.unit}, by default {each.default:g}"
            click.echo(f"  {each.name}: {reach}")


def _text(watched: Watched) -> str:
    current, device = watched.waveform, watched.device
    shape = watched.residual_class.value.replace("_", " ")
    reach = f"from {current.minimum_ma:.1f} to {current.maximum_ma:.1f} mA"
    rest = f"at zero for {current.zero_interval_deg():.0f}°"
    lines = [
        f"{watched.front_end.label}, fault at {watched.fault_point.value.replace('_', ' ')}",
        *(f"  {name} = {value:g}" for name, value in watched.parameters.items()),
        f"mean {current.mean_ma:.1f} mA, r.m.s. {current.rms_ma:.1f} mA, {reach}, {rest}",
        f"class: {shape}; least type that must detect it: {watched.least_type}",
        "",
        f"Devices of {device.rated_residual_operating_current_ma:g} mA on {device.standing_dc_ma:g} mA standing d.c.:",
    ]
    lines += [f"  {name:12} {verdict_words(response)}" for name, response in watched.responses.items()]
    return "\n".join((*lines, "", CAUTION))
