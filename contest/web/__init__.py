"""What every page and request has in common: reading what is sent, refusing it, cutting long lists, answering."""
