"""How far to trust a number: doubt of the measured coordinates, carried through everything that follows from them."""
