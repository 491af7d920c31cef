"""Numbers over bump, roll and rack travel, and the roll axis of both axles."""
