"""Small designs, half of them incompatible, each with the verdict of the trade: written before anything judged them."""
