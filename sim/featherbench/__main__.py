"""`python -m featherbench`."""

from featherbench.cli import main

main()
