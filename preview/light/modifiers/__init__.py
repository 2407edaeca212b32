"""What stands in a head's light: cloths, boards, boxes, and whatever cuts it; a file for each."""
