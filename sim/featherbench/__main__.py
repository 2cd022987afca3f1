"""`python -m featherbench`, and where the command `featherbench` begins."""

import sys


def main() -> None:
    """Run the command line; Ctrl-C while it is still being loaded ends it as quietly as later."""
    try:
        from featherbench.cli import main as run

        run()
    except KeyboardInterrupt:
        sys.stderr.write("interrupted\n")
        sys.exit(130)


if __name__ == "__main__":
    main()
