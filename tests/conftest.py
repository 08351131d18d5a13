"""Makes the helpers that lie beside this file importable from every test folder."""
