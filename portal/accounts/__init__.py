"""People who sign in: coaches, students, guardians; invitations and sign-in links."""
