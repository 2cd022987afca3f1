"""What commands compute is computed once, whichever test asks first."""

import pytest

from featherbench.render.page import Drawn
from once import remembering


@pytest.fixture(autouse=True)
def _computed_once(monkeypatch):
    for module, name, remembered in remembering():
        monkeypatch.setattr(module, name, remembered)


@pytest.fixture
def undrawn(monkeypatch):
    """Pages without their pictures, which cost most of a page: what is drawn on pages is looked at in
    tests/report/test_pages_in_browser.py, whether a build fails or not, and pictures in test_pictures_by_command.py.
    """

    def blank(picture, _said=()):
        return Drawn(picture.name, "<svg></svg>", picture.title, picture.caption, "", "plot")

    monkeypatch.setattr("featherbench.render.page.drawn", blank)
