"""Functions of a run that worker processes can import, and a way to start them."""

import pytest


@pytest.fixture
def grid():
    """Two speeds, three masses; the last cannot be."""
    return {"rotor.speed": "8000..9000 rpm:2", "part.blade.mass": ["5 g", "6 g", "-1 g"]}
