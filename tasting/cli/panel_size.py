"""`tasting size` and `tasting methods`: how many tastings a question takes."""

from dataclasses import asdict
from typing import Annotated

import typer

from tasting.cli.numbers import Alpha, cup_ml, number, whole
from tasting.cli.show import Json, show_json, show_table, tell
from tasting.cli.tables import MethodKey, OneSided
from tasting.errors import InputError
from tasting.panel import sizing, sizing_words
from tasting.panel.design import FALSE_ALARMS, USUAL_P_D, Aim, TestDesign
from tasting.panel.methods import TRIANGLE, method_named
from tasting.panel.sizing import Need
from tasting.stats.contrast_power import ContrastSize
from tasting.stats.power import PanelSize
from tasting.stats.similarity import SimilaritySize
from tasting.wording import percent

Beta = Annotated[
    float,
    typer.Option(parser=number, metavar="N", help="Risk of missing a difference that is there."),
]
Share = Annotated[
    float | None,
    typer.Option(
        "--p-d",
        parser=number,
        metavar="N",
        help="Share who notice it; default: 0.5, with --similarity 0.3.",
    ),
]
Distance = Annotated[
    float | None,
    typer.Option(
        "--d-prime", parser=number, metavar="N", help="Sensory distance, instead of --p-d."
    ),
]
Similarity = Annotated[
    bool, typer.Option("--similarity", help="Show that fewer than this share notice it.")
]
Detect = Annotated[
    int | None,
    typer.Option(parser=whole, metavar="N", help="The reverse: what N tastings can show."),
]
FalseAlarms = Annotated[
    float,
    typer.Option(
        parser=number,
        metavar="N",
        help="Same-different, A-not-A: share of sets without a difference that are reported as "
        "different.",
    ),
]
Millilitres = Annotated[
    float, typer.Option("--ml", parser=cup_ml, metavar="N", help="mL in a cup.")
]

_MOST = 1_000_000


def size(
    method: MethodKey,
    alpha: Alpha = 0.05,
    beta: Beta = 0.2,
    p_d: Share = None,
    d_prime: Distance = None,
    one_sided: OneSided = False,
    similarity: Similarity = False,
    detect: Detect = None,
    false_alarms: FalseAlarms = FALSE_ALARMS,
    as_json: Json = False,
) -> None:
    """How many tastings a method needs, or what a number of tastings can detect."""
    if p_d is not None and d_prime is not None:
        raise InputError("give either --p-d or --d-prime: each stands for the other")
    if detect is not None and (p_d is not None or d_prime is not None):
        raise InputError("--detect asks how large a difference; leave out --p-d and --d-prime")
    if detect is not None and detect > _MOST:
        raise InputError(f"--detect takes up to {_MOST:,} tastings, not {detect:,}")
    aim: Aim = "similarity" if similarity else "difference"
    design = TestDesign(
        method_named(method),
        expected="B" if one_sided else None,
        aim=aim,
        alpha=alpha,
        beta=beta,
        p_d=USUAL_P_D[aim] if p_d is None else p_d,
        d_prime=d_prime,
        false_alarms=false_alarms,
    )
    _needed(design, as_json) if detect is None else _detected(design, detect, as_json)


def _needed(design: TestDesign, as_json: bool) -> None:
    if not as_json:
        words = sizing_words.needed(design)
        return tell(_heading(design), *words)
    numbers = asdict(_size(design))
    actual = {
        f"actual_{name}": numbers.pop(name)
        for name in ("alpha", "beta", "power")
        if name in numbers
    }
    risks = {"alpha": design.alpha, "beta": design.beta, "d_prime": design.d_prime}
    show_json({"method": design.method, **risks, **numbers, **actual})


def _size(design: TestDesign) -> PanelSize | SimilaritySize | ContrastSize:
    if not design.has_chance:
        return sizing.contrast_size(design)
    if design.aim == "similarity":
        return sizing.similarity_size(design)
    return sizing.difference_size(design)


def _heading(design: TestDesign) -> str:
    """The question on one line."""
    against = f"{'p_d' if design.method.measures_distance else 'lead'} = {design.p_d:g}"
    if design.d_prime is not None:
        against = f"d′ = {design.d_prime:g}"
        if design.has_chance:
            against += f" (p_d = {design.p_d:.3f})"
    return f"{_asked(design)}, {against}"


def _asked(design: TestDesign) -> str:
    return f"{sizing_words.title(design)}: α = {design.alpha:g}, β = {design.beta:g}"


def _detected(design: TestDesign, tastings: int, as_json: bool) -> None:
    similar = design.aim == "similarity"
    if as_json:
        reach = (sizing.similarity_reach if similar else sizing.reach)(design, tastings)
        risks = {"alpha": design.alpha, "beta": design.beta}
        return show_json({"method": design.method, "n": tastings, **risks, **asdict(reach)})
    said = sizing_words.similarity_reach_in_words if similar else sizing_words.reach_in_words
    words = said(design, tastings)
    tell(f"{_asked(design)}, n = {tastings}", words)


def methods(
    d_prime: Annotated[
        float, typer.Option(parser=number, metavar="N", help="The sensory distance to detect.")
    ] = 1.0,
    alpha: Alpha = 0.05,
    beta: Beta = 0.2,
    ml: Millilitres = 30.0,
    as_json: Json = False,
) -> None:
    """Every method side by side: what each needs for the same sensory distance."""
    design = TestDesign(TRIANGLE, alpha=alpha, beta=beta, d_prime=d_prime)
    needs = sizing.side_by_side(design, ml)
    if as_json:
        return show_json(needs)
    show_table(
        f"To detect d′ = {d_prime:g} at α = {alpha:g} and {percent(design.power)} power, "
        f"{ml:g} mL in a cup",
        ["Method", "Tastings", "Cups", "mL"],
        [_line(need) for need in needs],
    )
    tell(
        "Directions count as fixed beforehand. Same-different and A-not-A: half of the sets have "
        f"no difference, and one is reported for {percent(FALSE_ALARMS)} of those. A-not-A: "
        "assessors judge by how far a cup is from the labelled reference.",
        *[f"{need.method.name}: {need.refusal}" for need in needs if need.refusal],
    )


def _line(need: Need) -> list[str]:
    numbers = (need.tastings, need.cups, need.ml)
    return [need.method.name, *("–" if number is None else f"{number:.0f}" for number in numbers)]
