"""What no fault may do to readings that were acknowledged: lose one, count one twice, or leave one half-written."""
