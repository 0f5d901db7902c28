"""The views that hold, what is measured in them, and how many marks each takes."""

CORNERS, ENDS, BEND = "corners", "ends", "bend"
LENGTH_OF, GAP, ANGLE_OF = "length", "gap", "angle"
MARKS_OF = {LENGTH_OF: 2, GAP: 4, ANGLE_OF: 3}
REFERENCE_MARKS = {CORNERS: 4, ENDS: 2, BEND: 2}
