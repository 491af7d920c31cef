"""The files a person writes: read, checked, all their faults told at once; and a blank one to fill in."""
