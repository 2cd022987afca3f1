"""What commands compute is computed once, whichever test asks first."""

import pytest

from once import remembering


@pytest.fixture(autouse=True)
def _computed_once(monkeypatch):
    for module, name, remembered in remembering():
        monkeypatch.setattr(module, name, remembered)
