"""The commands of ``glost``, a module each; see `glost_cli.group`."""
