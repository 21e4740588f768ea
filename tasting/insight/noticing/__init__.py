"""How strongly people notice acid, sugar and more: the model over many sessions."""
