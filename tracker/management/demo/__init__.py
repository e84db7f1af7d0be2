"""The invented school: who is in it, how its scores come about, how it is built and served."""
