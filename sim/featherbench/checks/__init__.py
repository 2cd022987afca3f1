"""Will it hold together; cautions."""
