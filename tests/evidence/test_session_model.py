"""The session model against numerical integration, general libraries and a plain second model."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.optimize import brentq
from scipy.stats import t as student

from brute_force import Brute
from rodhours.evidence.session_model.data import SESSIONS_WORTH_FOLDING, SessionData, lay_out
from rodhours.evidence.session_model.fit import (
    FULL,
    NO_CLUMPS,
    NO_SESSIONS,
    POISSON,
    Fit,
    best_of,
    climb,
    fit,
)
from rodhours.evidence.session_model.likelihood import evaluate
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.session_model.quadrature import Centre, nodes_for

Rows = tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray, np.ndarray]


def season(
    seed: int, sessions: int = 25, *, slopes: bool = True, s: float = 0.8, a: float = 0.6
) -> Rows:
    """session, cell, hours, fish, design of an invented log; two rows of a cell may differ."""
    rng = np.random.default_rng(seed)
    session = np.repeat(np.arange(sessions), 3)
    variant = rng.integers(0, 2, len(session))
    hours = rng.uniform(8, 30, len(session))
    z = rng.normal(size=sessions)
    clump = rng.gamma(1 / a, a, len(session)) if a else 1.0
    fish = rng.poisson(0.03 * hours * np.exp(s * z[session] - s * s / 2) * clump).astype(float)
    columns = [np.ones(len(session)), variant.astype(float)]
    if slopes:
        columns.append(rng.normal(size=len(session)))
    return session, session * 2 + variant, hours, fish, np.column_stack(columns)


SPREADS = [(0.7, 0.7), (1.2, 0.4), (1.5, 1.0), (0.8, 0.0), (0.0, 0.9), (0.0, 0.0), (0.7, 0.005)]


@pytest.mark.parametrize(
    ("s", "t"), [*SPREADS, (2.4, 0.2), (4.4, 0.0), (6.0, 1.5), (5.4, 0.1), (9.0, 0.5)]
)
@pytest.mark.parametrize("slopes", [True, False])
def test_log_likelihood_equals_numerical_integration(s: float, t: float, slopes: bool) -> None:
    """The log-likelihood of 25 sessions agrees with scipy's quad, log y! terms included, also where
    sessions differ 80 times and more."""
    rows = season(1, slopes=slopes)
    b = np.array([-3.4, 0.3, 0.2])[: rows[4].shape[1]]
    expected = Brute(*rows).log_likelihood_by_quad(b, s, t)
    value = evaluate(lay_out(*rows), b, s, t, nodes=nodes_for(s)).value
    assert value == pytest.approx(expected, abs=2e-6)


@pytest.mark.parametrize(("s", "t"), SPREADS)
@pytest.mark.parametrize("slopes", [True, False])
def test_derivatives_equal_finite_differences(s: float, t: float, slopes: bool) -> None:
    """Gradient and Hessian are the derivatives of the value in every free parameter."""
    data = lay_out(*season(2, slopes=slopes))
    p = data.columns
    at = np.append(np.array([-3.3, 0.4, -0.2])[:p], (s, t))
    free = [*range(p), *([p] if s else []), *([p + 1] if t else [])]
    step = 1e-5

    def there(x: np.ndarray):
        return evaluate(data, x[:p], x[p], x[p + 1], nodes=61)

    here = there(at)
    for j in free:
        move = step * np.eye(p + 2)[j]
        up, down = there(at + move), there(at - move)
        assert (up.value - down.value) / (2 * step) == pytest.approx(here.gradient[j], abs=1e-6)
        slope = (up.gradient - down.gradient) / (2 * step)
        assert slope[free] == pytest.approx(here.hessian[free, j], abs=1e-5)


@pytest.mark.parametrize(("s", "t", "which"), [(0.0, 0.9, 0), (0.8, 0.0, 1), (0.0, 0.0, 0)])
def test_second_derivative_at_a_boundary(s: float, t: float, which: int) -> None:
    """At s = 0 or t = 0 the gradient is 0, and the second derivative tells which way is up."""
    data = lay_out(*season(3))
    p = data.columns
    b = np.array([-3.3, 0.4, -0.2])
    step = 2e-3
    moved = [s, t]
    moved[which] += step
    rise = evaluate(data, b, *moved, nodes=61).value - evaluate(data, b, s, t, nodes=61).value
    curvature = evaluate(data, b, s, t, nodes=61).hessian[p + which, p + which]
    assert 2 * rise / step**2 == pytest.approx(curvature, rel=1e-3)


def test_warm_starts_change_nothing() -> None:
    """The place where the last evaluation had its modes is a start only."""
    data = lay_out(*season(4))
    b = np.array([-3.3, 0.4, -0.2])
    centre = Centre(np.zeros(len(data.weight)))
    for s in (0.3, 1.4, 0.8):
        warm = evaluate(data, b, s, 0.6, centre, nodes=61).value
        assert warm == pytest.approx(evaluate(data, b, s, 0.6, nodes=61).value, abs=1e-9)


def test_identical_sessions_are_folded_without_a_trace() -> None:
    """Large logs hold sessions of identical content once; the value stays."""
    session, cell, hours, fish, design = season(5, SESSIONS_WORTH_FOLDING + 50, slopes=False)
    hours = np.where(hours > 20, 24.0, 12.0)
    folded = lay_out(session, cell, hours, fish, design)
    assert len(folded.weight) < folded.sessions
    b = np.array([-3.4, 0.3])
    # The plain model holds every session by itself.
    expected = Brute(session, cell, hours, fish, design).log_likelihood(b, 0.8, 0.5)
    one = evaluate(folded, b, 0.8, 0.5, nodes=61)
    assert one.value == pytest.approx(expected, abs=1e-7)


def glm(rows: Rows, offset: np.ndarray | None = None, drop: int | None = None):
    _, _, hours, fish, design = rows
    kept = np.delete(design, drop, axis=1) if drop is not None else design
    return sm.GLM(fish, kept, family=sm.families.Poisson(), exposure=hours, offset=offset).fit(
        tol=1e-12, maxiter=200
    )


def test_without_session_effect_and_clumps_it_is_the_poisson_glm() -> None:
    """Estimate, standard errors and log-likelihood equal statsmodels' Poisson GLM."""
    rows = season(6)
    data = lay_out(*rows)
    point = climb(data, np.array([-3.0, 0.0, 0.0]), 0.0, 0.0, POISSON)
    expected = glm(rows)
    assert point.b == pytest.approx(np.asarray(expected.params), abs=1e-7)
    assert point.value == pytest.approx(float(expected.llf), abs=1e-8)
    errors = np.sqrt(np.diag(Fit(data, point, (point,)).covariance()))
    assert errors == pytest.approx(np.asarray(expected.bse), rel=1e-5)


def test_without_session_effect_it_is_the_negative_binomial() -> None:
    """One cell a row and s = 0: estimate, clumping and likelihood of statsmodels' NB2 model."""
    session, _, hours, fish, design = season(8, 60)
    cell = np.arange(len(session))
    point = climb(
        lay_out(cell, cell, hours, fish, design), np.array([-3.0, 0, 0]), 0.0, 0.7, NO_SESSIONS
    )
    expected = sm.NegativeBinomial(fish, design, exposure=hours).fit(
        disp=0, maxiter=500, method="bfgs", gtol=1e-9
    )
    assert point.b == pytest.approx(expected.params[:3], abs=1e-5)
    assert point.t**2 == pytest.approx(expected.params[3], rel=1e-4)
    assert point.value == pytest.approx(expected.llf, abs=1e-7)


LARGER = [(11, 8, 0.8, 0.6), (13, 9, 1.2, 0.0), (14, 12, 0.0, 0.0)]


@pytest.mark.parametrize(
    ("seed", "sessions", "s", "a"),
    [
        (12, 6, 0.0, 1.5),
        (13, 7, 1.2, 0.0),
        *(pytest.param(*one, marks=pytest.mark.full) for one in LARGER),
    ],
)
def test_estimate_and_limits_equal_a_plain_second_model(
    seed: int, sessions: int, s: float, a: float
) -> None:
    """The highest maximum over all boundaries, and limits where its profile falls by c/2.

    Held against general searches over a likelihood that shares no code; the seasons end on
    different boundaries.
    """
    rows = season(seed, sessions, slopes=False, s=s, a=a)
    plain = Brute(*rows)
    top, at = plain.fit()
    fitted = fit(lay_out(*rows))
    assert fitted.best.value == pytest.approx(top, abs=2e-5)
    cutoff = float(student.ppf(0.975, sessions)) ** 2
    profile = Profile.of(fitted, 1)
    estimate = float(fitted.best.b[1])
    for side in (-1, 1):
        found = profile.limit(side, cutoff)
        assert found is not None
        # The second model's profile must have fallen by just c/2 at the limit.
        fall = plain.statistic(1, found, top, at)
        assert fall == pytest.approx(cutoff, abs=2e-3)
        assert side * (found - estimate) > 0
    for theta in (0.0, estimate + 0.5):
        fall = plain.statistic(1, theta, top, at)
        assert profile.statistic(theta) == pytest.approx(fall, abs=1e-3)


def test_no_limit_where_the_profile_levels_off() -> None:
    """Two lucky cells of one variant in two sessions: how good it may be has no upper limit."""
    session = np.arange(6)
    hours = np.full(6, 24.0)
    fish = np.array([0.0, 0.0, 1.0, 0.0, 0.0, 9.0])
    design = np.column_stack((np.ones(6), np.array([0.0, 0, 0, 1, 1, 1])))
    profile = Profile.of(fit(lay_out(session, session, hours, fish, design)), 1)
    assert profile.limit(1, 40.0) is None
    assert profile.limit(-1, 40.0) is None


def test_a_limit_lies_on_the_side_of_one_that_the_statistic_there_says() -> None:
    """Two hills may tell two things of a ratio of 1: p is taken from L(0), and so is the side."""
    profile = Profile.of(fit(lay_out(*season(3, slopes=False))), 1)
    side = -int(np.sign(profile.estimate))
    cutoff = 1.5 * profile.at_equal_rates
    assert side * profile.limit(side, cutoff) > 0.0
    vars(profile)["at_equal_rates"] = 2.0 * cutoff
    assert side * profile.limit(side, cutoff) <= 0.0


@pytest.mark.parametrize(("rate", "clumps"), [(-800.0, 0.5), (800.0, 0.5), (4e13, 12.0)])
def test_no_maximum_is_likelier_than_certain(rate, clumps):
    """From rates far beyond any, rounding makes likelihoods above 1: none of them is a maximum, and
    from where the likelihood is one no search goes there."""
    each, ones = np.arange(8), np.ones(8)
    fish = np.array([1.0, 0, 2, 0, 0, 1, 0, 3])
    data = lay_out(each // 2, each, 12.0 * ones, fish, np.column_stack((ones, each % 2)))
    points = [
        climb(data, np.array([rate, 0.0]), 0.5, clumps, branch)
        for branch in (FULL, NO_CLUMPS, NO_SESSIONS, POISSON)
    ]
    assert best_of(points).value == max(point.value for point in points)
    assert not any(point.converged and point.value > 0 for point in points)
    assert abs(rate) > 1000 or all(point.value <= 0 for point in points)


def test_limit_of_a_variant_without_fish_equals_the_plain_second_model() -> None:
    """No fish: the profile is measured from the maximum at minus infinity."""
    session, cell, hours, fish, design = season(15, 9, slopes=False)
    fish = np.where(design[:, 1] == 1, 0.0, fish)
    others = design[:, 1] == 0
    bare_rows = (session[others], cell[others], hours[others], fish[others], design[others][:, :1])
    top, _ = Brute(*bare_rows).fit()
    bare = fit(lay_out(*bare_rows))
    data: SessionData = lay_out(session, cell, hours, fish, design)
    found = Profile.of_one_that_runs_off(data, 1, bare, np.append(bare.best.b, -3.0)).limit(1, 5.0)
    assert found is not None
    held, _ = Brute(session, cell, hours, fish, design).fit(1, found)
    assert 2 * (top - held) == pytest.approx(5.0, abs=2e-3)


def test_poisson_profile_limits_equal_those_of_the_glm() -> None:
    """Limits of the Poisson branch: where the GLM with the coefficient as offset falls by c/2."""
    rows = season(7)
    data = lay_out(*rows)
    point = climb(data, np.array([-3.0, 0.0, 0.0]), 0.0, 0.0, POISSON)
    profile = Profile.of(Fit(data, point, (point,)), 1)
    full = glm(rows)
    cutoff = 3.841458820694124  # chi-square, 1 degree of freedom, 95 %
    for side in (-1, 1):
        found = profile.limit(side, cutoff)

        def gap(theta: float) -> float:
            held = glm(rows, offset=theta * rows[4][:, 1], drop=1)
            return 2 * float(full.llf - held.llf) - cutoff

        expected = brentq(gap, point.b[1], point.b[1] + side * 3, xtol=1e-10)
        assert found == pytest.approx(expected, abs=1e-6)
