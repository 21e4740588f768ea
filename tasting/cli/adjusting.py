"""`tasting adjust`: how much of what moves a version to a goal, and what else it changes."""

from pathlib import Path
from typing import Annotated

import typer

from tasting.cli.connection import Database, address_of, existing, opened
from tasting.cli.drinks import invented_in, reference_in, tell_invented, version_in
from tasting.cli.numbers import scale_step
from tasting.cli.show import Json, show_json, show_table, tell, to_json
from tasting.drink import words
from tasting.drink.adjust import Adjustment, Allowed, Move, adjust, goals_of
from tasting.drink.composition import Composition, compose
from tasting.drink.formula import Amount, Version
from tasting.drink.mixture import NAMES
from tasting.drink.weighable import USUAL_STEP_G, rounded
from tasting.errors import InputError, NotFoundError, StoreError
from tasting.insight.noticing.drivers import SUGAR, TA
from tasting.reading import read_number
from tasting.store.documents import Document, read_document
from tasting.store.scale import keep_scale_step, scale_step_g
from tasting.wording import MINUS

_FIGURES = {
    TA.key: TA.figure,
    SUGAR.key: SUGAR.figure,
    "alcohol": "alcohol_percent_vol",
    "energy": "energy_kcal_per_l",
    "volume": "volume_ml",
}
_EFFECTS = ("ta_g_per_l", "ph", "sugar_g_per_l", "alcohol_percent_vol", "energy_kcal_per_l")
_HELD_SHARE = 0.01

Goal = Annotated[
    str | None, typer.Option(help="A value, or a difference with its sign: 6.5, +1.0, -0.5.")
]
Of = Annotated[str | None, typer.Option(help="Match the reference with this id.")]
With = Annotated[
    list[str] | None,
    typer.Option(
        "--with",
        help='An ingredient that may change; repeatable. A limit may follow: "lemon-juice=5 mL". '
        "Default: what is in.",
    ),
]
Hold = Annotated[
    list[str] | None,
    typer.Option(help=f"A figure to hold within 1 %; repeatable: {', '.join(_FIGURES)}."),
]


ScaleStep = Annotated[
    float | None,
    typer.Option(
        parser=scale_step,
        metavar="G",
        help="Step of your scale, g; saved in your database. Default: 0.1.",
    ),
]


def adjust_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A JSON document with formulas.")],
    version: Annotated[str, typer.Option(help="The id of the version to start from.")],
    ta: Goal = None,
    ta_of: Of = None,
    sugar: Goal = None,
    sugar_of: Of = None,
    alcohol: Goal = None,
    alcohol_of: Of = None,
    energy: Goal = None,
    volume: Goal = None,
    hold: Hold = None,
    with_: With = None,
    scale_g: ScaleStep = None,
    database: Database = None,
    as_json: Json = False,
) -> None:
    """Which pinch: every move to a goal with one ingredient, and the best combination."""
    document = read_document(file)
    start = version_in(document, version)
    before = compose(start)
    texts = {TA.key: ta, SUGAR.key: sugar, "alcohol": alcohol, "energy": energy, "volume": volume}
    likes = {TA.key: ta_of, SUGAR.key: sugar_of, "alcohol": alcohol_of}
    goals = _goals(before, texts) | _like(document, likes)
    held = {name: _HELD_SHARE * before.known(name) for name in map(_figure, hold or [])}
    found = adjust(start, goals, _allowed(start, with_ or []), hold=held)
    result = rounded(start, found, step_g(scale_g, database))
    if as_json:
        return show_json(_for_machines(result) | {"invented": invented_in(document)})
    tell_invented(document)
    _show(result, start)


def step_g(given: float | None, database: str | None) -> float:
    """The step of the scale: as given, which is kept where there is a log, or as kept before.

    Raises StoreError or NotFoundError for a database that was named and cannot be opened.
    """
    try:
        with opened(existing(address_of(database))) as engine:
            if given is not None:
                keep_scale_step(engine, given)
            return scale_step_g(engine)
    except (NotFoundError, StoreError):
        if database is not None:
            raise
        return USUAL_STEP_G if given is None else given


def _figure(name: str) -> str:
    if name not in _FIGURES:
        raise InputError(f"{name!r} cannot be held; hold one of: {', '.join(_FIGURES)}")
    return _FIGURES[name]


def _goals(before: Composition, texts: dict[str, str | None]) -> dict[str, float]:
    return {
        _FIGURES[name]: _value(name, text, before.known(_FIGURES[name]))
        for name, text in texts.items()
        if text is not None
    }


def _value(name: str, text: str, now: float) -> float:
    """A value, or what it is now and a difference."""
    try:
        read = read_number(text)
    except InputError as error:
        raise InputError(f"--{name}: {error}; with a sign it is a difference") from None
    return now + read if text.strip()[0] in f"+-{MINUS}" else read


def _like(document: Document, likes: dict[str, str | None]) -> dict[str, float]:
    result = {}
    for name, wanted in likes.items():
        if wanted is not None:
            known = goals_of(reference_in(document, wanted))
            if _FIGURES[name] not in known:
                raise InputError(f"the {name} of reference {wanted!r} is not known; give a value")
            result[_FIGURES[name]] = known[_FIGURES[name]]
    return result


def _allowed(version: Version, wanted: list[str]) -> list[Allowed]:
    """What may change: as named, first among the version's own parts, then in the pantry."""
    own = {part.ingredient.key: part.ingredient for part in version.parts}
    by_name = {item.name.lower(): item for item in own.values()}
    if not wanted:
        return [Allowed(ingredient=item) for item in own.values()]
    allowed = []
    for text in wanted:
        name, _, most = (piece.strip() for piece in text.partition("="))
        item = own.get(name) or by_name.get(name.lower()) or name
        limit = Amount.parse(most) if most else None
        allowed.append(Allowed.model_validate({"ingredient": item, "most": limit}))
    return allowed


def _for_machines(adjustment: Adjustment) -> dict[str, object]:
    def told(move: Move) -> dict[str, object]:
        return {**to_json(move), "reason": words.reason(adjustment, move)}

    return {
        "goals": adjustment.goals,
        "before": adjustment.before,
        "singles": [told(move) for move in adjustment.singles],
        "combined": told(adjustment.combined),
    }


def _show(adjustment: Adjustment, version: Version) -> None:
    """The moves in a table, and below it what stands in the way."""
    goals = [
        f"{words.short_name(name)} {NAMES[name].write(value)}"
        for name, value in adjustment.goals.items()
    ]
    named = {str(number): move for number, move in enumerate(adjustment.singles, 1)}
    named["best"] = adjustment.combined
    units = [f"{words.short_name(name)}\n{NAMES[name].unit}".strip() for name in _EFFECTS]
    header = ("Move", "Per serving", "Per batch", *units, "Volume\nmL")
    rows = [_row(name, move) for name, move in named.items()]
    show_table(f"{version.label} to {', '.join(goals)}", header, rows, text_columns=3)
    tell(
        f"Before: {', '.join(_before(adjustment.before))}. The columns say what each move changes."
    )
    for name, move in named.items():
        remarks = (move.why, words.broken(move), words.taken_out(move), move.rounding)
        if any(remarks):
            tell(f"Move {name}: {' '.join(filter(None, remarks))}")


def _row(name: str, move: Move) -> list[str]:
    effects = [NAMES[figure].change(move.effects[figure]) for figure in (*_EFFECTS, "volume_ml")]
    return [name, words.move(move, "serving"), words.move(move), *effects]


def _before(drink: Composition) -> list[str]:
    return [
        f"{words.short_name(figure)} {NAMES[figure].write(getattr(drink, figure))}"
        for figure in (*_EFFECTS, "volume_ml")
    ]
