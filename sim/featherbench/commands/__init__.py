"""One command a module: parse, call, print."""
