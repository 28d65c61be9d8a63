"""What does every run tell without a circuit: the array tuned and matched without loss, element by element?"""
