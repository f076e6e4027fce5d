"""`python -m wiregen`."""

from wiregen.cli import main

if __name__ == "__main__":
    main()
