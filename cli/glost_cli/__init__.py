"""The command line: parse, one library call, print."""
