"""What samples are drawn by, held to scipy's own: the same places, the same normal numbers, the same spline."""

import subprocess
import sys

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.special import ndtri
from scipy.stats import qmc

from featherbench.rotor.spline import spline_slopes, spline_weights
from featherbench.sampling.doubts import log_normal, normal_quantile
from featherbench.sampling.inputs import normal_score
from featherbench.sampling.sobol import MOST, sobol_points


@pytest.mark.parametrize("dimensions", [1, 2, 7, 24, MOST, MOST + 3])
@pytest.mark.parametrize("seed", [0, 11])
def test_places_are_those_of_scipy_to_the_last_digit(dimensions, seed):
    engine = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(seed))
    expected = engine.random_base2(7)
    for count in (1, 2, 33, 128):
        assert np.array_equal(sobol_points(dimensions, count, seed), expected[:count])


def test_every_dimension_has_a_direction_of_its_own():
    points = sobol_points(MOST, 64, 5)
    halves = np.sort((points * 64.0).astype(int), axis=0)
    assert np.array_equal(halves, np.tile(np.arange(64)[:, None], MOST)), (
        "one point in each 64th of each axis"
    )
    assert len(np.unique(points[1])) == MOST


def test_normal_numbers_are_those_of_scipy():
    shares = np.concatenate([np.linspace(1e-9, 1.0 - 1e-9, 999), [1e-6, 0.975]])
    assert [normal_quantile(float(share)) for share in shares] == pytest.approx(
        ndtri(shares), rel=1e-13, abs=1e-13
    )
    assert normal_score(-1.0) == -3.5
    assert normal_score(1.0) == 3.5
    assert normal_score(0.95) == pytest.approx(1.959963985, abs=1e-9)
    assert [log_normal(3.0, place) for place in (-0.95, 0.0, 0.95)] == pytest.approx([1.0 / 3.0, 1.0, 3.0])


@pytest.mark.parametrize("count", [4, 5, 7, 11])
def test_the_spline_is_that_of_scipy_between_its_nodes_and_beyond(count):
    chance = np.random.default_rng(count)
    nodes, values = np.cumsum(chance.uniform(0.2, 1.5, count)), chance.normal(size=(count, 3, 2))
    theirs, slopes = CubicSpline(nodes, values), spline_slopes(nodes)
    for place in (*nodes, *np.linspace(nodes[0] - 0.3, nodes[-1] + 0.3, 23)):
        ours = np.tensordot(spline_weights(nodes, slopes, float(place)), values, 1)
        assert ours == pytest.approx(theirs(place), rel=1e-10, abs=1e-10)


def test_a_prediction_with_ranges_loads_no_scipy_beyond_what_numba_asks_for():
    code = (
        "import sys\n"
        "from featherbench.scenario import read\n"
        "from featherbench.studies import predict\n"
        "from featherbench.sampling.sampled import sampled\n"
        "sampled([predict(read('scenarios/survey-3kg/plain.toml'))], 16)\n"
        "print([name for name in ('stats', 'special', 'interpolate', 'linalg', 'optimize') "
        "if f'scipy.{name}' in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
