"""What `--json` puts on standard output, made of the records that were solved."""
