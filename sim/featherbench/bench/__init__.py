"""What is done with a plant on the bench, and the instruments that read it."""
