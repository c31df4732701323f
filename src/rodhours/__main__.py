"""`python -m rodhours`."""

from rodhours.cli.main import run

if __name__ == "__main__":
    run()
