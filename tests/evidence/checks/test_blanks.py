"""Blanks that were not logged: truncated counts with published answers, and detection rates."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import approx_fprime

import simulated_seasons as seasons
from reference import open_data
from reference.published import CHOLERA, GALL_FLY
from rodhours.evidence.basis import Basis
from rodhours.evidence.checks import blanks
from rodhours.evidence.checks.blanks import BlankLogging, blank_logging, unlogged_blanks
from rodhours.evidence.session_model.data import lay_out
from rodhours.evidence.session_model.fit import fit
from rodhours.evidence.stints import prepare
from simulated_seasons import REFERENCE, Season


def truncated(table: pd.DataFrame) -> tuple[BlankLogging, int]:
    """The check on counts of one session each, of which those of 0 were never written down."""
    value, times = table.columns
    counts = table[value].repeat(table[times]).to_numpy(dtype=float)
    code = np.arange(len(counts))
    data = lay_out(code, code, np.ones(len(counts)), counts, np.ones((len(counts), 1)))
    return blank_logging(fit(data), session_effects=False), len(counts)


def test_cholera_households() -> None:
    """Without any blank logged the fit is the zero-truncated Poisson: rate and missing ones."""
    found, households = truncated(open_data.cholera())
    assert CHOLERA.agrees("chol_lambda", float(np.exp(found.b[0])))
    assert CHOLERA.agrees("chol_N", households + found.missing)
    assert found.logged_share < 1e-4
    assert found.likelihood_ratio > blanks.MORE_THAN_CHANCE


def test_gall_flies() -> None:
    """The same for eggs of the gall-fly, 1935."""
    found, _ = truncated(open_data.gall_fly())
    assert GALL_FLY.agrees("gall_lambda", float(np.exp(found.b[0])))


def test_gradient_is_the_derivative_of_the_value() -> None:
    """Finite differences of the value over b, s and the logit of q give the gradient."""
    data = basis_of(seasons.both_on_every_trip(np.random.default_rng(1))).data
    totals = blanks.session_sums(data, data.cell_fish)

    def there(x: np.ndarray) -> tuple[float, np.ndarray]:
        return blanks._logged(data, x[:2], x[2], x[3], totals, totals == 0)

    at = np.array([-3.3, 0.2, 0.8, 0.5])
    slope = approx_fprime(at, lambda x: there(x)[0], 1e-6)
    assert there(at)[1] == pytest.approx(slope, rel=1e-4)


def basis_of(frame: pd.DataFrame) -> Basis:
    stints = prepare(frame)
    return Basis.of(stints, stints.code_of(REFERENCE), same_trips=False)


def is_told(frame: pd.DataFrame) -> bool:
    return bool(unlogged_blanks(basis_of(frame), []))


def without_blanks(frame: pd.DataFrame) -> pd.DataFrame:
    return frame[frame.groupby("session")["fish"].transform("sum") > 0]


KINDS = {
    "both on every trip": lambda rng: seasons.both_on_every_trip(rng),
    "one a trip": lambda rng: seasons.one_a_trip(rng),
    "clumps by stint": lambda rng: seasons.clumps_by_stint(rng),
}


@pytest.mark.parametrize("kind", KINDS)
def test_false_alarms_and_detection(kind: str) -> None:
    """False alarms at most 10 %, found in at least 82 % where every blank is left out.

    Both as the method's evidence states; measured on 200 logs a kind: false alarms 2-3 %,
    found 96-99 %. Here 5 logs a kind.
    """
    logs = [KINDS[kind](np.random.default_rng(seed)) for seed in range(5)]
    alarms = sum(is_told(log) for log in logs)
    found = sum(is_told(without_blanks(log)) for log in logs)
    assert alarms <= 1
    assert found >= 4


def test_share_of_logged_blanks_is_estimated() -> None:
    """Where a third of the blanks was written down, the share is found to be about that."""
    shares = []
    for seed in range(11):
        rng = np.random.default_rng(seed)
        log = seasons.both_on_every_trip(rng, 1.0, Season(trips=300))
        blank = log.groupby("session")["fish"].transform("sum") == 0
        kept = set(rng.permutation(log["session"][blank].unique())[: blank.sum() // 9].tolist())
        basis = basis_of(log[~blank | log["session"].isin(kept)])
        shares.append(blank_logging(basis.fitted).logged_share)
    assert np.median(shares) == pytest.approx(1 / 3, abs=0.08)
