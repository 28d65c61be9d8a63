"""Transmit fields: what the resonator of the scanner sets up, without array and body and with them."""
