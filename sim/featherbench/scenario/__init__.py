"""What a person may write, how a file and its base become a checked scenario, and the errors."""
