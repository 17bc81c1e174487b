"""``reedwright bench``: the pressure of a bench whose bellows fall, and how long a take lasts."""

import argparse

from reedwright.cli.options import add_json
from reedwright.cli.plain import print_json
from reedwright.cli.tools import Tools
from reedwright.drawing.numbers import print_number
from reedwright.reedwork.falling_bench import FallingBench, flow_ml_s, pressure_pa, take_s

__all__ = ["add_arguments", "run"]

#: Reeds pass about so much air, leaks apart: 45 to 105 ml/s were computed for mouth-organ
#: tongues after Millot and Baumann 2007; larger reeds pass more. A start, to be timed.
_USUAL_FLOW_ML_S = 75.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "--mass-kg", type=float, required=True, metavar="KG", help="the mass that falls, weight "
        "and moving board together",
    )  # fmt: skip
    parser.add_argument(
        "--area-cm2", type=float, required=True, metavar="CM2", help="effective area of the bellows"
    )
    parser.add_argument(
        "--travel-mm", type=float, required=True, metavar="MM", help="how far they fall"
    )
    parser.add_argument(
        "--fall-s",
        type=float,
        metavar="S",
        help="how long a fall took with a reed sounding (default: reckoned for "
        f"{_USUAL_FLOW_ML_S:g} ml/s)",
    )
    add_json(parser)


def run(arguments: argparse.Namespace, tools: Tools) -> int:  # noqa: ARG001 - the form of all
    """Print pressure, air and take of the bench."""
    bench = FallingBench(
        falling_mass_kg=arguments.mass_kg,
        area_cm2=arguments.area_cm2,
        travel_mm=arguments.travel_mm,
    )
    is_timed = arguments.fall_s is not None
    flow = flow_ml_s(bench, fall_s=arguments.fall_s) if is_timed else _USUAL_FLOW_ML_S
    pressure, take = pressure_pa(bench), take_s(bench, flow_ml_s=flow)
    if arguments.json:
        print_json(
            {
                "pressure_pa": pressure,
                "volume_ml": bench.volume_ml,
                "flow_ml_s": flow,
                "take_s": take,
            }
        )
        return 0
    how = "as timed" if is_timed else "reckoned, time one of yours"
    print(
        f"{print_number(pressure, decimals=0)} Pa steady. A fall holds "
        f"{print_number(bench.volume_ml, decimals=0)} ml: a take of about "
        f"{print_number(take, decimals=0)} s at {print_number(flow, decimals=0)} ml/s ({how}). "
        f"Give it to the survey as --on-bench --bellows-pressure-pa "
        f"{print_number(pressure, decimals=0)}."
    )
    return 0
