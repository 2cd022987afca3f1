"""Self-contained pages: one frame for all of them, one module and one template for each kind of answer."""
