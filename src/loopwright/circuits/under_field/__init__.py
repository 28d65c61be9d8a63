"""What the transmit field drives in a circuit of any state."""
