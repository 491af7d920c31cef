"""What people see: the command line, CSV files, figures and drawings."""
