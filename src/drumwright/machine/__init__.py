"""The machine in the product's order, one package a part."""
