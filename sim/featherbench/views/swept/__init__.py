"""What a sweep of many builds has to say, and its map."""
