"""Tagged PDF: what each part of a page is, told to whoever has it read aloud (ISO 32000-1, 14.7 and 14.8)."""
