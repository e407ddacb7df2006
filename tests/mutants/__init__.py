"""Do the tests notice when the code is wrong? Changes it in one place at a time, and asks them."""
