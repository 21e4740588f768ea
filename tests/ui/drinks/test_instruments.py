"""What instruments say of a bottle becomes measured values of the reference."""

import pytest
from sqlalchemy import Engine
from streamlit.testing.v1 import AppTest

from tasting.store import formulas
from tests.ui.drinks.opening import drink
from tests.ui.reading import read as words
from tests.ui.reading import tabled
from tests.ui.workshop import MEASURED, UNMEASURED


def typed(page: AppTest, way: str, form: str, **readings: str) -> AppTest:
    page.segmented_control(key="measured").set_value(way).run()
    for name, text in readings.items():
        page.text_input(key=f"{name}-of-{form}").input(text)
    return page.run()


def saved(page: AppTest, form: str) -> AppTest:
    page.button(key=f"fill-{form}").click().run()
    page.text_input(key=f"reason-{form}").input("measured on 3 March")
    return page.button(key=f"save-{form}").click().run()


def test_a_titration_is_saved_with_its_uncertainty(engine: Engine, host: AppTest) -> None:
    """9.7 mL of 0.1 mol/L in 10 mL are 9.7 × 0.1 × 64.04 / 10 = 6.21 g/L (arithmetic with the
    equivalent mass of anhydrous citric acid); 0.064, 0.062 and 0.062 in quadrature."""
    formulas.keep_reference(engine, UNMEASURED)
    page = typed(drink(host, id="S"), "Titration", "S-0", base="9,7", sample="10")
    assert not page.exception
    saved(page, "S-0")
    (kept,) = formulas.references(engine)
    assert kept.ta_g_per_l == pytest.approx(6.21)
    assert kept.uncertainty["ta_g_per_l"] == pytest.approx(0.109, abs=0.002)


def test_density_and_alcohol_give_the_sugar(engine: Engine, host: AppTest) -> None:
    """The density itself is kept, too; what a label declares stays."""
    bottle = UNMEASURED.model_copy(update={"sugar_g_per_100ml": None, "alcohol_percent_vol": 5.5})
    formulas.keep_reference(engine, bottle)
    page = drink(host, id="S")
    assert "Still missing: Density, kg/L." in words(page)
    page = typed(
        page, "Density and alcohol", "S-0", density="1,0195 ± 0.0003", alcohol="5.5", ta="6.2"
    )
    assert "extract as sucrose" in tabled(page)
    saved(page, "S-0")
    (kept,) = formulas.references(engine)
    assert kept.density_kg_per_l == 1.0195
    assert kept.uncertainty["density_kg_per_l"] == 0.0003
    assert 5 < (kept.sugar_g_per_100ml or 0) < 7
    assert 0.1 < kept.uncertainty["sugar_g_per_100ml"] < 0.6
    assert (kept.alcohol_percent_vol, kept.ta_g_per_l) == (5.5, 6.2)
    assert "alcohol_percent_vol" not in kept.uncertainty


def test_a_measured_sugar_of_a_us_bottle_is_per_serving(engine: Engine, host: AppTest) -> None:
    """Typed and shown per serving of 250 mL, kept per 100 mL."""
    bottle = UNMEASURED.model_copy(update={"sugar_g_per_100ml": None, "rules": "US"})
    formulas.keep_reference(engine, bottle)
    page = typed(
        drink(host, id="S"),
        "Before and after boiling",
        "S-0",
        brix="8.8",
        boiled="6.7",
        ta="6.2 ± 0.2",
    )
    assert "catches fire" in words(page)
    saved(page, "S-0")
    (kept,) = formulas.references(engine)
    assert 5.5 < (kept.sugar_g_per_100ml or 0) < 7
    assert kept.brix == 8.8
    assert 4.5 < (kept.alcohol_percent_vol or 0) < 7


@pytest.mark.parametrize(("density", "said"), [("1.0165", "agrees with it"), ("1.03", "not agree")])
def test_what_a_label_declares_stays_and_is_compared(
    engine: Engine, host: AppTest, density: str, said: str
) -> None:
    """60 g/L of sugar and 6.2 of acid at 5.5 % vol: Tabarié, 66 g/L are 1.0238 in water, less the
    0.0078 that 5.5 % vol are lighter than it: 1.0160 kg/L (OIML R 22, ICUMSA; from memory)."""
    bottle = UNMEASURED.model_copy(update={"sugar_g_per_100ml": 6.0, "alcohol_percent_vol": 5.5})
    formulas.keep_reference(engine, bottle)
    page = typed(drink(host, id="S"), "Density and alcohol", "S-0", density=density, ta="6.2")
    assert "the label's 6 stays" in words(page)
    assert said in words(page)
    page.button(key="fill-S-0").click().run()
    assert page.text_input(key="sugar_g_per_100ml-S-0").value == "6"


def test_what_cannot_be_is_said_in_a_sentence(engine: Engine, host: AppTest) -> None:
    formulas.keep_reference(engine, MEASURED)
    page = drink(host, id="R")
    typed(page, "Density and refractometer", "R-0", density="1.05", brix="5")
    assert "no drink has a density of 1\\.05" in page.error[0].value.casefold()
    typed(page, "Titration", "R-0", base="much", sample="10")
    assert "is not a number" in page.error[0].value
    assert formulas.references(engine) == (MEASURED,)
