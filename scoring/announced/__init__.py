"""What was announced, as the crowd may see it: releases, and keys that are shown by themselves."""
