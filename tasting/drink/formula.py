"""A formula and its versions: plain data that never changes; an edit makes a child."""

import math
from typing import Annotated, Any, Self

from pydantic import (
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    field_validator,
    model_validator,
)

from tasting.drink.pantry import Ingredient, Name, ingredient
from tasting.errors import InputError
from tasting.records import Tidy
from tasting.units import OUNCE, PART, Form, counted, read_line, unit_for, unit_named
from tasting.wording import short

Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]{0,63}$")]
Note = Annotated[str, Field(max_length=2000), Tidy]
# Far outside of what anybody pours or weighs, and safe to compute with.
LEAST, MOST = 1e-9, 1e9


class _Plain(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Amount(_Plain):
    """A positive quantity and its unit; also read from text such as "45 mL".

    A bare ounce stays one until its ingredient is known: it is of volume or of mass.

    >>> Amount.parse("1 1/2 fl oz"), Amount.parse("22,5 ml")
    (Amount(quantity=1.5, unit='US fl oz'), Amount(quantity=22.5, unit='mL'))
    """

    quantity: float
    unit: str

    @classmethod
    def parse(cls, text: str) -> "Amount":
        """Read "45 mL"; raises InputError for text without a number and a known unit."""
        line = read_line(text)
        if line.quantity is None or not (line.unit or line.rest):
            raise InputError(f"{text!r} is not an amount; write a number and a unit, as in 45 mL")
        return cls(quantity=line.quantity, unit=f"{line.unit} {line.rest}".strip())

    def of(self, form: Form) -> "Amount":
        """The same of a liquid or a solid: a bare ounce becomes one of volume or of mass."""
        return self.model_copy(update={"unit": unit_for(self.unit, form)})

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, given: Any) -> Any:
        return dict(cls.parse(given)) if isinstance(given, str) else given

    @field_validator("quantity")
    @classmethod
    def _positive(cls, quantity: float) -> float:
        if not (math.isfinite(quantity) and quantity > 0):
            raise InputError(
                f"an amount must be a number above zero, not {short(quantity)}; "
                "leave out what is not used"
            )
        if not LEAST <= quantity <= MOST:
            raise InputError(
                f"an amount of {short(quantity)} is too large; check the number and its unit"
            )
        return quantity

    @field_validator("unit")
    @classmethod
    def _known(cls, unit: str) -> str:
        known = unit_named(unit)
        if known == PART:
            raise InputError("a part has no size of its own; give an amount, such as 60 mL")
        return known

    def __str__(self) -> str:
        return f"{short(self.quantity)} {counted(self.quantity, self.unit)}"


def from_pantry(given: Any) -> Any:
    """A pantry key or name becomes its ingredient; for pydantic, before it validates."""
    return ingredient(given) if isinstance(given, str) else given


class Part(_Plain):
    """One line of a version. The ingredient may be given by its pantry key or name, and is kept
    and written out in full, so that a version does not change when the pantry does."""

    ingredient: Annotated[Ingredient, BeforeValidator(from_pantry)]
    amount: Amount

    @model_validator(mode="after")
    def _ounces_settled(self) -> Self:
        if self.amount.unit == OUNCE:
            object.__setattr__(self, "amount", self.amount.of(self.ingredient.form))
        return self


class Version(_Plain):
    """One state of a formula: its parts for so many servings, its parent and the reason for it."""

    id: Id
    label: Name
    parent: Id | None = None
    reason: Note = ""
    parts: tuple[Part, ...]
    servings: Annotated[float, Field(gt=0, allow_inf_nan=False)] = 1.0
    created_at: AwareDatetime
    note: Note = ""

    @field_validator("parts")
    @classmethod
    def _something(cls, parts: tuple[Part, ...]) -> tuple[Part, ...]:
        if not parts:
            raise InputError("a version needs at least one ingredient; add a line to it")
        return parts

    @model_validator(mode="after")
    def _reasoned(self) -> Self:
        if self.parent is not None and not self.reason.strip():
            raise InputError(
                f"version {self.label!r} has a parent and no reason; say in a few words what was "
                "changed and why"
            )
        if self.parent == self.id:
            raise InputError(f"version {self.label!r} names itself as its parent; name another")
        return self

    def child(
        self,
        *,
        id: str,
        label: str,
        reason: str,
        created_at: AwareDatetime,
        parts: tuple[Part, ...] | None = None,
        servings: float | None = None,
        note: str = "",
    ) -> "Version":
        """A new version that comes from this one; what is not given stays as it was.

        Raises pydantic's ValidationError, a ValueError, when the reason is blank.
        """
        return Version(
            id=id,
            label=label,
            parent=self.id,
            reason=reason,
            parts=self.parts if parts is None else parts,
            servings=self.servings if servings is None else servings,
            created_at=created_at,
            note=note,
        )


class Formula(_Plain):
    """A named recipe: one tree of versions, each parent before its children.

    `invented` says, where it is not empty, that and how the data were made up.
    """

    id: Id
    name: Name
    versions: tuple[Version, ...]
    invented: Note = ""

    @field_validator("versions")
    @classmethod
    def _one_tree(cls, versions: tuple[Version, ...]) -> tuple[Version, ...]:
        if not versions:
            raise InputError("a formula needs at least one version; add the first")
        _all_different("id", [version.id for version in versions])
        _all_different("label", [version.label for version in versions])
        seen: set[str] = set()
        for version in versions:
            _check_parent(version, seen)
            seen.add(version.id)
        return versions

    def version(self, id: str) -> Version:
        """The version of that id; raises InputError when there is none."""
        for version in self.versions:
            if version.id == id:
                return version
        raise InputError(f"formula {self.name!r} has no version {id!r}")


def _all_different(what: str, values: list[str]) -> None:
    for value in values:
        if values.count(value) > 1:
            raise InputError(f"two versions have the {what} {value!r}; give each its own")


def _check_parent(version: Version, earlier: set[str]) -> None:
    if version.parent is None and earlier:
        raise InputError(
            f"version {version.label!r} has no parent, but only the first version may be without; "
            "name the version it comes from"
        )
    if version.parent is not None and version.parent not in earlier:
        raise InputError(
            f"version {version.label!r} comes from {version.parent!r}, which is not an earlier "
            "version of this formula; put the parent before it"
        )
