"""Commands of the clinic for results: of one client and across all of them."""
