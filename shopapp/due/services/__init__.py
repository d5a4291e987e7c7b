"""What leaves the shop: handed over at the counter, or sent with a carrier."""

from shopapp.due.services.handing_over import LONGEST_NAME, SignedAtTheDoor, hand_over_jobs
from shopapp.due.services.sending import send_parcel

__all__ = ["LONGEST_NAME", "SignedAtTheDoor", "hand_over_jobs", "send_parcel"]
