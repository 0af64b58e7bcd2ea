"""`solid` and `proof`: the pages of what a build asks of the CAD kernel."""

from __future__ import annotations

from bodycad.checks.page import Page, Topic

SOLID = Topic(
    "solid",
    Page(
        asks="While building: does every cut take the wood it should, is the body one sound solid "
        "of the computed volume, and do its files read back as the same solid?",
        why="A cut that misses, a blind cut that comes through or a file that another program "
        "reads otherwise is found at the machine. Edges are built from their own exact faces. "
        "What is narrower than 0.002 mm is closed up, and the row of its workpiece says so. Where "
        "a cut of the kernel's does not take what is due, or still leaves an edge under 0.002 mm "
        "or a face under 0.002 mm2, it is made in other ways, some with contours or voids shifted "
        "by up to 0.002 mm, some by walls written as splines; a warning says so, and says what "
        "specks are left. Loose crumbs of up to 0.01 mm3 are left out. A file is refused for edges "
        "under 0.00001 mm, faces under 0.0000001 mm2, and places not known within 0.05 mm.",
        limits=(),
        cures="Move or deepen the cut that the text names; draw shapes that nearly touch clearly "
        "apart or clearly overlapping; if volumes disagree, cut nothing from these files and "
        "report it with the design.",
    ),
)
PROOF = Topic(
    "proof",
    Page(
        asks="With `build --proof`: does the CAD kernel measure every gap as the checks do, on "
        "solids of its own, and share parts and strings no more with the finished wood than "
        "`assembly` says?",
        why="Two ways that share no step seldom make the same mistake. They may differ by 0.02 "
        "mm beyond the stated error bound; what a part and the wood share is twice the volume of "
        "its thickest lump over the lump's surface.",
        limits=(),
        cures="Where they disagree one of the two figures is wrong: measure there before "
        "cutting, and report it with the design.",
    ),
)
TOPICS = (SOLID, PROOF)
