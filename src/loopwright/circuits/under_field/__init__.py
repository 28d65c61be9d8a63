"""What does the transmit field drive in a circuit of any state, and what fails?"""
