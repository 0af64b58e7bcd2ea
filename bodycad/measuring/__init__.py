"""Tables of measured sizes beside a script: what they hold, what a script asks of them."""
