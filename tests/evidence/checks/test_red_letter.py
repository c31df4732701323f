"""One trip that carries the answer: leave-one-out against refits, and how often it is named."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

import brute_force
import simulated_seasons as seasons
from rodhours.evidence.basis import Basis
from rodhours.evidence.checks.red_letter import EDGE
from rodhours.evidence.compare import compare
from rodhours.evidence.result import Note
from rodhours.evidence.session_model.fit import POISSON, climb
from rodhours.evidence.session_model.scores import session_scores, shift_without
from rodhours.evidence.stints import prepare
from simulated_seasons import FAVOURITE, REFERENCE, Season


def basis_of(frame: pd.DataFrame, *, same_trips: bool = True) -> tuple[Basis, int]:
    stints = prepare(frame)
    basis = Basis.of(stints, stints.code_of(REFERENCE), same_trips=same_trips)
    return basis, stints.code_of(FAVOURITE)


def found_in(frame: pd.DataFrame) -> Note | None:
    notes = compare(frame, REFERENCE).notes
    return next((note for note in notes if note.code == "red_letter_trip"), None)


def with_red_letter_trip(seed: int) -> pd.DataFrame:
    """A short log, 12 trips, and on one of them thirty fish more on each rod of the variant.

    In longer logs the clumping that such a trip brings widens the interval, and leaving it out
    rarely matters by the rule: 5 of 30 logs of 40 trips.
    """
    season = Season(trips=12, session_sd=0.7)
    frame = seasons.both_on_every_trip(np.random.default_rng(seed), 1.0, season)
    lucky = frame.index[(frame["session"] == "7") & (frame["variant"] == FAVOURITE)]
    frame.loc[lucky, "fish"] += 30
    return frame


def test_contributions_add_up_to_nothing_at_the_maximum() -> None:
    """The sessions' parts of the gradient sum to the gradient, which is 0 at the estimate."""
    for seed in range(4):
        basis, _ = basis_of(seasons.mood_and_clumps(np.random.default_rng(seed), 1.5))
        scores = session_scores(basis.data, basis.fitted.best)
        assert basis.data.weight @ scores == pytest.approx(0, abs=1e-3)


def test_newton_step_is_the_shift_of_a_refit_to_first_order() -> None:
    """In the Poisson model the shift on leaving out a session is that of statsmodels' refits."""
    frame = seasons.both_on_every_trip(np.random.default_rng(3), 1.5, Season(trips=150))
    basis, variant = basis_of(frame, same_trips=False)
    data = basis.data
    point = climb(data, np.array([-3.5, 0.0]), 0.0, 0.0, POISSON)
    column = basis.column_of(variant)
    shifts = shift_without(data, point, column)
    design = sm.add_constant((frame["variant"] == FAVOURITE).to_numpy(dtype=float))

    def fitted(rows: pd.Series) -> float:
        model = sm.GLM(
            frame["fish"][rows],
            design[rows],
            family=sm.families.Poisson(),
            exposure=frame["hours"][rows],
        )
        return float(model.fit().params.iloc[1])

    everything = fitted(frame["session"].notna())
    codes = pd.factorize(frame["session"], sort=True)[0]
    checked = np.argsort(-np.abs(shifts))[:12]
    refits = [fitted(pd.Series(codes != data.session_code[k])) for k in checked]
    moved = np.array(refits) - everything
    # A session is up to a fifth of the information here, and the step leaves that share out.
    assert shifts[checked] == pytest.approx(moved, rel=0.25)
    assert np.corrcoef(shifts[checked], moved)[0, 1] > 0.99


def test_the_answer_without_the_trip_is_that_of_the_slow_likelihood() -> None:
    """The refit without the named trip reaches the maximum of an independent likelihood."""
    frame = with_red_letter_trip(5)
    found = found_in(frame)
    assert found is not None
    rest = frame[frame["session"] != found.numbers["session"]]
    _, best = brute_force.lay_out(rest, REFERENCE, rest).fit()
    assert found.numbers["rate_ratio_without"] == pytest.approx(np.exp(best[1]), rel=1e-3)


def test_names_the_red_letter_trip() -> None:
    """A trip with thirty fish on each rod of one bait is named, with what it took away.

    Measured on 30 such logs: some trip is named on 29, that one on 25.
    """
    named = [found_in(with_red_letter_trip(seed)) for seed in range(6)]
    assert sum(one is not None and one.numbers["fish"] >= 30 for one in named) >= 4


def test_serious_is_a_movement_and_no_knifes_edge() -> None:
    """In clean logs of 25 trips some trip moves the answer, yet in one of ten at the most further
    than what is called serious (100 logs: 8); the thirty fish of one trip are mostly serious."""
    widest = []
    for seed in range(20):
        frame = seasons.both_on_every_trip(
            np.random.default_rng([seed, 25]), 1.0, Season(trips=25, session_sd=0.7)
        )
        basis, variant = basis_of(frame)
        answer = basis.answer(variant, 0.05, 0.05)
        half_width = np.log(answer.conf_high / answer.conf_low) / 2
        column = basis.column_of(variant)
        shifts = shift_without(basis.fitted.data, basis.fitted.best, column)
        widest.append(np.abs(shifts).max() / half_width)
    assert np.mean(np.array(widest) > EDGE) <= 0.10
    assert np.median(widest) > EDGE / 2
    found = [found_in(with_red_letter_trip(seed)) for seed in range(6)]
    turned = [note for note in found if note is not None and note.numbers["verdict_changes"]]
    assert sum(note.severity == "serious" for note in turned) >= 2
