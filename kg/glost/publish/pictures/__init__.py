"""Pictures: charts of runs, matrices, families on a time axis, kilns to scale; SVG and PNG."""
