"""Metering: where a meter is held, what comes to it, what it says of a face."""
