"""`tasting size` and `tasting methods`: how many tastings a question takes."""

from dataclasses import asdict, dataclass
from typing import Annotated

import typer

from tasting.cli.show import Json, show_json, show_table, tell
from tasting.cli.tables import MethodKey, OneSided, counted, title
from tasting.errors import InputError
from tasting.panel import sizing
from tasting.panel.methods import Method, method_named
from tasting.panel.sizing import Need, Reach
from tasting.stats.contrast_power import ContrastSize
from tasting.stats.power import PanelSize
from tasting.stats.similarity import SimilaritySize

Alpha = Annotated[float, typer.Option(help="Risk of finding a difference that is not there.")]
Beta = Annotated[float, typer.Option(help="Risk of missing one that is there.")]
Share = Annotated[
    float | None, typer.Option("--p-d", help="Share of tastings that notice it; else 0.3.")
]
Distance = Annotated[
    float | None, typer.Option("--d-prime", help="Its sensory distance, instead of --p-d.")
]
Similarity = Annotated[
    bool, typer.Option("--similarity", help="To show that fewer than that share notice it.")
]
Detect = Annotated[
    int | None, typer.Option(metavar="N", help="The reverse: what N tastings can show.")
]
FalseAlarms = Annotated[
    float,
    typer.Option(help="Same-different, A-not-A: share of sets without a difference called one."),
]
Millilitres = Annotated[float, typer.Option("--ml", min=1, max=500, help="mL in a cup.")]


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of one method."""

    method: Method
    alpha: float
    beta: float
    p_d: float | None
    d_prime: float | None
    one_sided: bool
    false_alarms: float

    @property
    def sides(self) -> int:
        """1, or 2 where the direction is open."""
        return self.method.sides(direction_fixed=self.one_sided)

    @property
    def share(self) -> float:
        """p_d, as given or as it goes with d-prime; 0.3 if neither was given."""
        if self.d_prime is None:
            return 0.3 if self.p_d is None else self.p_d
        return float(self.method.model.p_d(self.d_prime))

    @property
    def heading(self) -> str:
        """The question on one line."""
        against = f"p_d = {0.3 if self.p_d is None else self.p_d:g}"
        if self.d_prime is not None:
            against = f"d′ = {self.d_prime:g}"
            if self.method.psychometric is not None:
                against += f" (p_d = {self.share:.3f})"
        risks = f"α = {self.alpha:g}, β = {self.beta:g}"
        return f"{title(self.method, self.sides)}: {risks}, {against}"


def size(
    method: MethodKey,
    alpha: Alpha = 0.05,
    beta: Beta = 0.2,
    p_d: Share = None,
    d_prime: Distance = None,
    one_sided: OneSided = False,
    similarity: Similarity = False,
    detect: Detect = None,
    false_alarms: FalseAlarms = sizing.FALSE_ALARMS,
    as_json: Json = False,
) -> None:
    """How many tastings a method needs, or what a number of tastings can detect."""
    if p_d is not None and d_prime is not None:
        raise InputError("give either --p-d or --d-prime: each stands for the other")
    chosen = method_named(method)
    asked = Asked(chosen, alpha, beta, p_d, d_prime, one_sided, false_alarms)
    if detect is not None:
        return _detect(asked, detect, similarity, as_json)
    if similarity:
        return _similar(asked, as_json)
    if chosen.psychometric is None:
        return _contrast(asked, as_json)
    if d_prime is not None:
        needed = sizing.panel_size_for_d_prime(chosen, d_prime, alpha, beta, one_sided)
    else:
        needed = sizing.panel_size(
            chosen, alpha=alpha, beta=beta, p_d=asked.share, one_sided=one_sided
        )
    _say(asked, needed, _size_in_words(asked, needed), as_json)


def _say(
    asked: Asked,
    needed: PanelSize | SimilaritySize | ContrastSize,
    words: tuple[str, ...],
    as_json: bool,
) -> None:
    if not as_json:
        return tell(asked.heading, *words)
    numbers = asdict(needed)
    actual = {
        f"actual_{name}": numbers.pop(name)
        for name in ("alpha", "beta", "power")
        if name in numbers
    }
    risks = {"alpha": asked.alpha, "beta": asked.beta, "d_prime": asked.d_prime}
    show_json({"method": asked.method, **risks, **numbers, **actual})


def _size_in_words(asked: Asked, needed: PanelSize) -> tuple[str, ...]:
    again = f"From {needed.stable_n} on it never falls below that again."
    if needed.stable_n == needed.n:
        again = "It never falls below that again with more."
    wanted = f"{100 * (1 - asked.beta):g} %"
    return (
        f"{needed.n} tastings are the fewest with a power of at least {wanted}. {again}",
        f"At n = {needed.n}, {needed.critical_number} or more "
        f"{counted(asked.method, needed.sides)} "
        f"show a difference; actual α = {needed.alpha:.4f}, actual power = {needed.power:.4f} "
        "(exact binomial).",
    )


def _contrast(asked: Asked, as_json: bool) -> None:
    if asked.d_prime is None:
        raise InputError(
            f"the method {asked.method.key!r} has no chance of guessing to count against, so "
            "there is no size by p_d; give --d-prime"
        )
    needed = sizing.contrast_size(
        asked.method, asked.d_prime, asked.alpha, asked.beta, asked.false_alarms
    )
    words = (
        f"{needed.n} sets, half of them with a difference, are the fewest with a power of at "
        f"least {100 * (1 - asked.beta):g} %.",
        f"A difference is then expected to be reported for {100 * needed.share_some:.0f} % of the "
        f"sets with one and {100 * needed.share_none:.0f} % of those with none; actual α = "
        f"{needed.alpha:.4f}, actual power = {needed.power:.4f} (Fisher's exact test).",
    )
    _say(asked, needed, words, as_json)


def _similar(asked: Asked, as_json: bool) -> None:
    _check_one_sided(asked)
    needed = sizing.similarity_size(asked.method, asked.alpha, asked.beta, asked.share)
    words = (
        f"{needed.n} tastings are the fewest whose score, if nobody notices, stays low enough with "
        f"a probability of at least {100 * (1 - asked.alpha):g} %. From {needed.stable_n} on it "
        "never falls below that again.",
        f"At n = {needed.n}, {needed.largest} or fewer {counted(asked.method, 1)} show similarity; "
        f"actual β = {needed.beta:.4f}, actual probability = {needed.power:.4f} (exact binomial).",
        f"In {100 * needed.below_chance:.0f} % the score would even be below chance, from which "
        "nothing is concluded.",
    )
    _say(asked, needed, words, as_json)


def _check_one_sided(asked: Asked) -> None:
    if asked.sides == 2:
        raise InputError("similarity is shown by a one-sided test with a chance of guessing")


def _detect(asked: Asked, tastings: int, similarity: bool, as_json: bool) -> None:
    if asked.p_d is not None or asked.d_prime is not None:
        raise InputError("--detect asks how large a difference; leave out --p-d and --d-prime")
    found = _limit(asked, tastings) if similarity else _reach(asked, tastings)
    if as_json:
        risks = {"alpha": asked.alpha, "beta": asked.beta}
        return show_json({"method": asked.method, "n": tastings, **risks, **asdict(found)})
    tell(
        f"{title(asked.method, asked.sides)}: α = {asked.alpha:g}, β = {asked.beta:g}, "
        f"n = {tastings}",
        _limit_in_words(found) if similarity else _reach_in_words(asked, found),
    )


def _reach(asked: Asked, tastings: int) -> Reach:
    return sizing.reach(
        asked.method,
        tastings,
        asked.alpha,
        asked.beta,
        one_sided=asked.one_sided,
        false_alarms=asked.false_alarms,
    )


def _limit(asked: Asked, tastings: int) -> Reach:
    _check_one_sided(asked)
    return sizing.similarity_reach(asked.method, tastings, asked.alpha, asked.beta)


def _reach_in_words(asked: Asked, found: Reach) -> str:
    if found.p_d is None and found.d_prime is None:
        return (
            "However large the difference, so few tastings show it with less than "
            f"{100 * (1 - asked.beta):g} %."
        )
    said = [f"p_d = {found.p_d:.3f}"] if found.p_d is not None else []
    said += [f"d′ = {found.d_prime:.2f}"] if found.d_prime is not None else []
    return (
        f"They show, with a power of {100 * (1 - asked.beta):g} %, a difference of "
        f"{', '.join(said)} or more."
    )


def _limit_in_words(found: Reach) -> str:
    return (
        "If nobody notices, they can be expected to show that fewer than p_d = "
        f"{found.p_d:.3f} (d′ = {found.d_prime:.2f}) notice, and not much less."
    )


def methods(
    d_prime: Annotated[float, typer.Option(help="The sensory distance to be shown.")] = 1.0,
    alpha: Alpha = 0.05,
    beta: Beta = 0.2,
    ml: Millilitres = 30.0,
    as_json: Json = False,
) -> None:
    """Every method side by side: what each needs for the same sensory distance."""
    needs = sizing.side_by_side(d_prime, alpha, beta, ml)
    if as_json:
        return show_json(needs)
    show_table(
        f"To show d′ = {d_prime:g} at α = {alpha:g} with a power of {100 * (1 - beta):g} %, "
        f"{ml:g} mL in a cup",
        ["Method", "Tastings", "Cups", "mL"],
        [_line(need) for need in needs],
    )
    tell(
        "A direction is taken as fixed beforehand. Same-different and A-not-A: half of the sets "
        f"hold no difference, and one is reported for {100 * sizing.FALSE_ALARMS:.0f} % of those.",
        *[f"{need.method.name}: {need.refusal}" for need in needs if need.refusal],
    )


def _line(need: Need) -> list[str]:
    numbers = (need.tastings, need.cups, need.ml)
    return [need.method.name, *("–" if number is None else f"{number:.0f}" for number in numbers)]
