"""The session model's special cases against published fits.

The ships data grouped by ship are a session log in all but name: incidents for fish, months of
service for hours, ship types for sessions. Each source is named in `reference.published`.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from reference import open_data
from reference.published import (
    DOCTORS_REGRESSION,
    MITES,
    QUINE_INTERACTION,
    QUINE_MAIN_EFFECTS,
    SHIPS_ESTIMATES,
    SHIPS_GAMMA,
    SHIPS_NORMAL,
    SPRAYS_AND_WARPBREAKS,
    Published,
)
from rodhours.evidence.session_model.data import SessionData, lay_out
from rodhours.evidence.session_model.fit import (
    NO_CLUMPS,
    NO_SESSIONS,
    POISSON,
    Point,
    climb,
    poisson_start,
)

SHIP_COLUMNS = ["period75", "year65", "year70", "year75"]


def indicators(frame: pd.DataFrame, columns: list[str]) -> tuple[np.ndarray, list[str]]:
    """Intercept and treatment indicators, the first level in the alphabet as the base."""
    parts, names = [np.ones(len(frame))], ["(Intercept)"]
    for column in columns:
        for level in sorted(frame[column].unique())[1:]:
            parts.append((frame[column] == level).to_numpy(dtype=float))
            names.append(f"{column}{level}")
    return np.column_stack(parts), names


def one_cell_a_row(counts: pd.Series, exposure: np.ndarray, design: np.ndarray) -> SessionData:
    code = np.arange(len(counts))
    return lay_out(code, code, exposure, counts.to_numpy(dtype=float), design)


@pytest.fixture(scope="module")
def ships() -> tuple[SessionData, list[str]]:
    """The 34 ships with service, one cell a ship type."""
    frame = open_data.ships()
    design, names = indicators(frame, ["period", "year"])
    ship = pd.factorize(frame["type"])[0]
    hours = frame["service"].to_numpy(dtype=float)
    return lay_out(ship, ship, hours, frame["incidents"].to_numpy(dtype=float), design), names


def check_ratios(point: Point, names: list[str], published: Published, prefix: str) -> None:
    for name in SHIP_COLUMNS:
        ratio = float(np.exp(point.b[names.index(name)]))
        assert published.agrees(f"{prefix}{name}", ratio), name


def spread_of(point: Point, column: int) -> float:
    """Standard error of a coefficient from the curvature over all free parameters."""
    free = list(range(len(point.b)))
    free += [len(point.b) + k for k in (0, 1) if point.branch[k]]
    inverse = np.linalg.inv(-point.evaluation.hessian[np.ix_(free, free)])
    return float(np.sqrt(inverse[column, column]))


def test_random_intercept_poisson_equals_the_published_ships_fit(
    ships: tuple[SessionData, list[str]],
) -> None:
    """With clumping held at 0 the model is the normal random-intercept Poisson."""
    data, names = ships
    point = climb(data, poisson_start(data), 0.7, 0.0, NO_CLUMPS)
    assert point.converged
    assert SHIPS_NORMAL.agrees("ships_normal_ll", point.value)
    assert SHIPS_NORMAL.agrees("ships_normal_sigma_u", point.s, units=1)
    check_ratios(point, names, SHIPS_NORMAL, "ships_normal_exact_irr_")
    column = names.index("period75")
    error = float(np.exp(point.b[column])) * spread_of(point, column)
    # The manual's own quadrature was less fine than its exact figures: 4 digits.
    assert error == pytest.approx(SHIPS_NORMAL["ships_normal_irrse_period75"], rel=1e-4)


def test_gamma_sessions_equal_the_published_negative_multinomial(
    ships: tuple[SessionData, list[str]],
) -> None:
    """Without a session effect and one cell a session the model is negative multinomial."""
    data, names = ships
    point = climb(data, poisson_start(data), 0.0, 0.7, NO_SESSIONS)
    assert point.converged
    assert SHIPS_GAMMA.agrees("ships_gamma_ll", point.value)
    check_ratios(point, names, SHIPS_GAMMA, "ships_gamma_irr_")
    assert SHIPS_GAMMA.agrees("ships_gamma_alpha", point.t**2, units=1)
    column = names.index("period75")
    error = float(np.exp(point.b[column])) * spread_of(point, column)
    assert SHIPS_GAMMA.agrees("ships_gamma_irrse_period75", error, units=1)
    alone = climb(data, poisson_start(data), 0.0, 0.0, POISSON)
    # The manual's likelihood-ratio test of alpha = 0.
    assert SHIPS_GAMMA.agrees("ships_gamma_lr", 2 * (point.value - alone.value))


def test_poisson_rates_equal_the_published_doctors_fit() -> None:
    """Without session effect and clumps the model is Poisson rate regression with exposure."""
    frame = open_data.doctors()
    ages, _ = indicators(frame, ["age"])
    design = np.column_stack((ages, frame["smoker"].to_numpy(dtype=float)))
    data = one_cell_a_row(frame["deaths"], frame["person_years"].to_numpy(dtype=float), design)
    point = climb(data, poisson_start(data), 0.0, 0.0, POISSON)
    ratios = np.exp(point.b)
    assert DOCTORS_REGRESSION.agrees("doc_irr_smoker", ratios[-1])
    for k in (2, 3, 4, 5):
        assert DOCTORS_REGRESSION.agrees(f"doc_irr_age{k}", ratios[k - 1])
    assert DOCTORS_REGRESSION.agrees("doc_loglik", point.value)
    assert DOCTORS_REGRESSION.agrees("doc_irr_se", ratios[-1] * spread_of(point, 5))


def test_poisson_rates_equal_the_published_ships_estimates() -> None:
    """The same for the ships with their types as a covariate, to the two printed decimals."""
    frame = open_data.ships()
    design, names = indicators(frame, ["type", "year", "period"])
    data = one_cell_a_row(frame["incidents"], frame["service"].to_numpy(dtype=float), design)
    point = climb(data, poisson_start(data), 0.0, 0.0, POISSON)
    for key in SHIPS_ESTIMATES.digits:
        if key.startswith("ships_b_"):
            value = point.b[names.index(key.removeprefix("ships_b_"))]
            assert SHIPS_ESTIMATES.agrees(key, value), key


@pytest.mark.parametrize(
    ("published", "columns", "prefix"),
    [
        (QUINE_MAIN_EFFECTS, ["Eth", "Sex", "Age", "Lrn"], "quine_main"),
        (QUINE_INTERACTION, [], "quine_vr"),
    ],
)
def test_negative_binomial_equals_the_published_quine_fits(
    published: Published, columns: list[str], prefix: str
) -> None:
    """Without a session effect, one cell a row is negative binomial with a = 1 / theta."""
    frame = open_data.quine()
    if columns:
        design, names = indicators(frame, columns)
    else:
        # Sex / (Age + Eth * Lrn): a full set of terms within each sex.
        within, _ = indicators(frame, ["Age"])
        eth = (frame["Eth"] == "N").to_numpy(dtype=float)
        slow = (frame["Lrn"] == "SL").to_numpy(dtype=float)
        within = np.column_stack((within, eth, slow, eth * slow))
        male = (frame["Sex"] == "M").to_numpy(dtype=float)[:, None]
        design, names = np.column_stack((within, within * male)), []
        # No slow learner is in the oldest form, so that no column drops out elsewhere.
        kept = np.linalg.matrix_rank(design)
        assert kept == design.shape[1]
    data = one_cell_a_row(frame["Days"], np.ones(len(frame)), design)
    point = climb(data, poisson_start(data), 0.0, 0.7, NO_SESSIONS)
    assert point.converged
    assert published.agrees(f"{prefix}_2ll", 2 * point.value)
    assert published.agrees(f"{prefix}_theta", 1 / point.t**2)
    if columns:
        assert published.agrees("quine_main_b_EthN", point.b[names.index("EthN")])


def test_clumping_of_the_apple_leaf_mites() -> None:
    """One count a cell, no covariates: a is 1 / k of the published negative binomial."""
    counts = open_data.mites()["mites"]
    data = one_cell_a_row(counts, np.ones(len(counts)), np.ones((len(counts), 1)))
    point = climb(data, poisson_start(data), 0.0, 0.7, NO_SESSIONS)
    assert MITES.agrees("mites_k_ml", 1 / point.t**2)
    assert MITES.agrees("mites_mean", float(np.exp(point.b[0])))


def test_insect_sprays_and_warp_breaks() -> None:
    """Poisson and negative binomial coefficients of two classic tables, reference software."""
    sprays = open_data.insect_sprays()
    design, names = indicators(sprays, ["spray"])
    data = one_cell_a_row(sprays["count"], np.ones(len(sprays)), design)
    point = climb(data, poisson_start(data), 0.0, 0.0, POISSON)
    assert SPRAYS_AND_WARPBREAKS.agrees("spray_b_(Intercept)", point.b[0])
    assert SPRAYS_AND_WARPBREAKS.agrees("spray_b_sprayC", point.b[names.index("sprayC")])
