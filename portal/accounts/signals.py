"""What other rooms may hear of people."""

from django.dispatch import Signal

# Sent with `invitation` and `user` inside the transaction in which the invitation is used
invitation_accepted = Signal()
