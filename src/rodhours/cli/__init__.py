"""The command line: parse, call, print. Heavy libraries are imported inside the commands."""
