"""A picture of the light field fit to publish, as the boards hang or at several heights side by side."""

from ledcalc.picture.saving import DrawnPicture, drawn_picture, save_heights_picture, save_picture

__all__ = ["DrawnPicture", "drawn_picture", "save_heights_picture", "save_picture"]
