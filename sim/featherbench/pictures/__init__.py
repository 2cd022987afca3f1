"""The pictures: one function each, which takes results and draws them; nothing is computed here."""
