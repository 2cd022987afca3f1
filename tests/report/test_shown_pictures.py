"""The pictures in the README are what the program draws now of the scenarios beside them.

They are `force.svg` and `parts.svg` of: featherbench compare scenarios/tutorial-2kg/plain.toml
scenarios/tutorial-2kg/weighted.toml --runs 0 --figures FOLDER
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import pytest

from featherbench.render.gallery import figure_of, picture_bytes
from featherbench.scenario import read
from featherbench.studies import compared, predict
from featherbench.views.bench import comparison_view

HOME = Path(__file__).parents[2] / "scenarios" / "tutorial-2kg"
SHOWN = sorted(path.stem for path in (HOME / "pictures").glob("*.svg"))
NEAR = 6.0
"""pt, of a picture of some 250: what nobody sees, such as another machine's last digit."""
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def drawn() -> dict[str, str]:
    """Each picture as the program draws it now."""
    both = compared([predict(read(HOME / f"{name}.toml")) for name in ("plain", "weighted")])
    view = comparison_view(both, [(), ()], (), "metric")
    pictures = [*view.pictures, *([view.parts] if view.parts else [])]
    wanted = [one for one in pictures if one.name in SHOWN]
    return {one.name: picture_bytes(figure_of(one), "svg", one.title).decode("utf-8") for one in wanted}


def texts(svg: str) -> list[str]:
    return ["".join(one.itertext()) for one in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def boxes(svg: str) -> np.ndarray:
    """Left, top, right, bottom of every path."""
    found = []
    for path in ElementTree.fromstring(svg).iter(f"{SVG}path"):
        points = np.array(re.findall(r"-?\d+\.?\d*", path.attrib["d"]), dtype=float)
        places = points[: len(points) // 2 * 2].reshape(-1, 2)
        found.append([*places.min(axis=0), *places.max(axis=0)])
    return np.array(found)


@pytest.mark.parametrize("name", SHOWN)
def test_a_picture_in_the_readme_is_not_stale(drawn: dict[str, str], name: str) -> None:
    kept = (HOME / "pictures" / f"{name}.svg").read_text(encoding="utf-8")
    assert texts(kept) == texts(drawn[name])
    assert boxes(kept).shape == boxes(drawn[name]).shape
    assert np.abs(boxes(kept) - boxes(drawn[name])).max() < NEAR


def test_a_stale_picture_is_noticed(drawn: dict[str, str]) -> None:
    moved = drawn["force"].replace(' d="M ', ' d="M -50 -50 L ', 1)
    assert np.abs(boxes(moved) - boxes(drawn["force"])).max() > NEAR


def test_the_readme_shows_them_all() -> None:
    readme = (HOME.parents[1] / "README.md").read_text(encoding="utf-8")
    links = re.findall(r"!\[[^\]]{40,}\]\(scenarios/tutorial-2kg/pictures/(\w+)\.svg\)", readme)
    assert sorted(links) == SHOWN == ["force", "parts"]
