"""Constants of the law with a bank of models, found by CMA-ES over all training cookers at once."""
