"""Everything closed as four tidy tables, with a dictionary that says what each column holds."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import pandas as pd

from tasting.drink.composition import compose
from tasting.drink.formula import Formula, Version
from tasting.drink.mixture import NAMES
from tasting.insight.findings.finding import finding
from tasting.insight.findings.tally import Tally
from tasting.panel.session import Session
from tasting.report.answers import safe_csv, when_closed

_Column = tuple[str, str]
"""A unit, or nothing, and the meaning of a column."""

_SESSION: Mapping[str, _Column] = {"session_id": ("", "id of the session")}
_VERSION: Mapping[str, _Column] = {"version_id": ("", "id of the version")}
_COLUMNS: Mapping[str, Mapping[str, _Column]] = {
    "answers": {
        **_SESSION,
        "session": ("", "name of the session"),
        "closed_at": ("UTC", "when it was closed (ISO 8601)"),
        "method": ("", "key of the method, such as triangle"),
        "assessor": ("", "pseudonym"),
        "replicate": ("", "number of the set that this assessor answered"),
        "serving_order": ("", "samples from left to right; before a colon, labelled as reference"),
        "codes": ("", "codes on the cups from left to right, with spaces between"),
        "chosen": ("", "what was chosen: a code, codes joined by +, or words"),
        "sample": ("", "samples in the chosen cups; empty where words were chosen"),
        "counted": ("", "whether the answer counts towards the number that is tested"),
        "remark": ("", "what the assessor wrote"),
        "invented": ("", "whether the data are made up"),
    },
    "sessions": {
        **_SESSION,
        "session": ("", "name of the session"),
        "purpose": ("", "what was to be decided"),
        "method": ("", "key of the method"),
        "attribute": ("", "what a direction was asked for, such as more sour"),
        "expected": ("", "A or B where the direction was fixed beforehand"),
        "aim": ("", "difference or similarity"),
        "sequential": ("", "whether Wald's test could end it early"),
        "alpha": ("", "risk of a false alarm"),
        "beta": ("", "risk of missing what p_d names"),
        "p_d": ("", "share who notice (of a preference: lead) that is not to be missed"),
        "a_kind": ("", "version or reference"),
        "a_id": ("", "id of sample A"),
        "a": ("", "name of sample A"),
        "b_kind": ("", "version or reference"),
        "b_id": ("", "id of sample B"),
        "b": ("", "name of sample B"),
        "assessors": ("", "assessors that were planned"),
        "replicates": ("", "sets for each of them"),
        "planned_at": ("UTC", "when it was planned (ISO 8601)"),
        "opened_at": ("UTC", "when the plan was fixed and sealed"),
        "closed_at": ("UTC", "when it was closed"),
        "early_reason": ("", "why it was closed early"),
        "n": ("", "answers that choose a sample"),
        "count": ("", "those that count"),
        "verdict": ("", "difference, similarity, small difference, neither; empty without answers"),
        "finding": ("", "headline of the finding"),
        "invented": ("", "whether the data are made up"),
    },
    "versions": {
        **_VERSION,
        "formula_id": ("", "id of the formula"),
        "formula": ("", "name of the formula"),
        "version": ("", "name of the version"),
        "parent_id": ("", "id of the version that it was made from"),
        "reason": ("", "what was changed and why"),
        "created_at": ("UTC", "when it was saved (ISO 8601)"),
        "servings": ("", "servings that the amounts make"),
        "ingredient": ("", "name of an ingredient; one row each"),
        "quantity": ("", "amount of it"),
        "unit": ("", "unit of the amount"),
        "invented": ("", "whether the data are made up"),
    },
    "compositions": {
        **_VERSION,
        "figure": ("", "key of a computed figure; one row each"),
        "name": ("", "its name"),
        "unit": ("", "its unit"),
        "value": ("unit", "computed value; empty where it cannot be computed"),
        "low": ("unit", "lower end of its likely range"),
        "high": ("unit", "upper end"),
    },
}


@dataclass(frozen=True, slots=True)
class DataTables:
    """The four tables, and the dictionary of their columns."""

    answers: pd.DataFrame
    sessions: pd.DataFrame
    versions: pd.DataFrame
    compositions: pd.DataFrame
    dictionary: pd.DataFrame

    @property
    def by_name(self) -> Mapping[str, pd.DataFrame]:
        """Each table by the name of its file."""
        return {name: getattr(self, name) for name in (*_COLUMNS, "dictionary")}


def data_tables(
    answers: pd.DataFrame, sessions: Iterable[Session], formulas: Sequence[Formula]
) -> DataTables:
    """The tables of these sessions, which are read one at a time, and formulas.

    answers: the table of their answers (`answers_table`)
    Raises SealedError for a session that is not closed.
    """
    return DataTables(
        answers,
        _table("sessions", map(_session, sessions)),
        _table("versions", (row for formula in formulas for row in _parts(formula))),
        _table("compositions", (row for made in _versions(formulas) for row in _figures(made))),
        pd.DataFrame(_dictionary(), columns=["table", "column", "unit", "meaning"]),
    )


def zipped(tables: DataTables) -> bytes:
    """All of them as CSV files in one ZIP archive; spreadsheets compute none of what was typed."""
    named = tables.by_name.items()
    return archived((f"{name}.csv", safe_csv(each).encode("utf-8-sig")) for name, each in named)


def archived(files: Iterable[tuple[str, bytes]]) -> bytes:
    """These files, each with its name, in one ZIP archive."""
    kept = BytesIO()
    with ZipFile(kept, "w") as archive:
        for name, content in files:
            # Without a moment in it, the same files are the same bytes.
            entry = ZipInfo(name)
            entry.compress_type = ZIP_DEFLATED
            archive.writestr(entry, content)
    return kept.getvalue()


def _table(name: str, rows: Iterable[Mapping[str, object]]) -> pd.DataFrame:
    return pd.DataFrame(list(rows), columns=list(_COLUMNS[name]))


def _dictionary() -> list[tuple[str, str, str, str]]:
    return [
        (table, column, unit, meaning)
        for table, columns in _COLUMNS.items()
        for column, (unit, meaning) in columns.items()
    ]


def _session(session: Session) -> Mapping[str, object]:
    when_closed(session)
    plan, tally = session.plan, Tally.of_session(session)
    found = finding(session) if tally.n else None
    moments = {
        name: at.isoformat() if (at := getattr(session, name)) else ""
        for name in ("planned_at", "opened_at", "closed_at")
    }
    fixed = ("method", "attribute", "aim", "sequential", "alpha", "beta", "p_d", "replicates")
    return {
        "session_id": session.id,
        "session": session.name,
        "purpose": session.purpose,
        **{name: getattr(plan, name) for name in fixed},
        "expected": plan.expected or "",
        **_sample("a", session),
        **_sample("b", session),
        "assessors": len(plan.assessors),
        **moments,
        "early_reason": session.early_reason,
        "n": tally.n,
        "count": tally.count,
        "verdict": found.evidence.verdict.value if found else "",
        "finding": found.headline if found else "",
        "invented": bool(session.invented),
    }


def _sample(letter: str, session: Session) -> Mapping[str, str]:
    sample = session.plan.a if letter == "a" else session.plan.b
    return {f"{letter}_kind": sample.kind, f"{letter}_id": sample.id, letter: sample.name}


def _versions(formulas: Sequence[Formula]) -> Iterator[Version]:
    return (version for formula in formulas for version in formula.versions)


def _parts(formula: Formula) -> Iterator[Mapping[str, object]]:
    for version in formula.versions:
        for part in version.parts:
            yield {
                "version_id": version.id,
                "formula_id": formula.id,
                "formula": formula.name,
                "version": version.label,
                "parent_id": version.parent or "",
                "reason": version.reason,
                "created_at": version.created_at.isoformat(),
                "servings": version.servings,
                "ingredient": part.ingredient.name,
                "quantity": part.amount.quantity,
                "unit": part.amount.unit,
                "invented": bool(formula.invented),
            }


def _figures(version: Version) -> Iterator[Mapping[str, object]]:
    made = compose(version)
    for figure, spread in made.intervals.items():
        yield {
            "version_id": version.id,
            "figure": figure,
            "name": NAMES[figure].name,
            "unit": NAMES[figure].unit,
            "value": getattr(made, figure),
            "low": spread.low,
            "high": spread.high,
        }
