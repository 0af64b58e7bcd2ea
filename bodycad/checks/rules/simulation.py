"""`simulation`: the page of what cutting from the written files leaves."""

from __future__ import annotations

from bodycad.checks.page import Page, Topic
from bodycad.safety import Danger

NAME = "simulation"
SIMULATION = Topic(
    NAME,
    Page(
        asks="With `bodycad simulate` and `build --simulate`: do the cutting programs and PNG "
        "grids of heights, run as they are written with the tools that they name, from both faces, "
        "take all the wood that should go and no other?",
        why="A file may be right line by line and still cut wrong: a cutter that does not get into "
        "a corner, a depth at the wrong layer, a back that was not drawn as seen from the back, a "
        "zero off by a pin. The blank is a grid of square cells of 0.1 mm, cut from both faces and "
        "held against the layout's own surfaces. A wall may stand one cell off, so one that is off "
        "by less than two may pass; cells above 0.2 mm give a warning at best. A floor may be "
        "off by 0.05 mm, which a drill within 0.15 mm of its hole's size may go deeper; a shaped "
        "face by 0.05 mm and the ridge between two passes of its ball, R - sqrt(R^2 - (s/2)^2). "
        "Left as stated are corners that no cutter on hand gets into, and tabs. What is drilled at "
        "an angle or from the edge, and an edge or a floor that no upright tool makes, is not "
        "simulated; it is named. Of a shaped face the 16-bit PNG grid is run; its TIFF, STL and "
        "STEP are not.",
        limits=("simulation.left", "simulation.gouge", "simulation.pins"),
        cures="Write the files anew and cut from these; where they were edited, undo that. If "
        "files as written fail, cut nothing from them and report it with the design.",
        dangers=(Danger.ROUTER,),
    ),
)
