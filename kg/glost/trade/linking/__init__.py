"""The same thing under other names: which lines, shapes, marks and sources of two lists are one."""
