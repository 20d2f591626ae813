"""The fills: one module each, and a catalogue that names them."""
