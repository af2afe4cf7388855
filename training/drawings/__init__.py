"""Drawings as SVG text: pure functions, no Django. Colours come from the stylesheet; shapes alone tell the state."""
