"""An instrument judged without the package's geometry: raw numbers in, what is ruined out.

Only plain numbers are read from a layout: vertices and bulges, heights, starts and directions,
the words of records. Every shape made of them, every distance and every position that the
instrument wants is worked out here, with numpy, shapely (GEOS) and manifold3d.

`solids`: shapes of raw numbers, as tests of points and as meshes. `wood`: what is wood and what
is not, and why. `place`: where scale, frets and heel want the neck and the strings. `thickness`:
wood thinner than it may be. The other files each ask one family of questions; `verdict` asks all.

What is ruined is written down with each question. The limits are those past which a body goes to
the stove, not those past which a careful maker would worry: all common practice, no source.
"""
