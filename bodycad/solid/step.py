"""STEP files (ISO 10303-21, AP214, millimetres, ASCII names, one header for equal input) and the
gate that each must pass once written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.BinXCAFDrivers import BinXCAFDrivers
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Quantity import Quantity_Color, Quantity_ColorRGBA, Quantity_TypeOfColor
from OCP.StepBasic import StepBasic_Product
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPConstruct import STEPConstruct
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType, STEPControl_Writer
from OCP.StepData import StepData_StepModel
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

from bodycad.errors import FileError
from bodycad.solid import kernel, occ
from bodycad.solid.body import NamedSolid
from bodycad.solid.specks import specks
from bodycad.version import VERSION

TIME = "2000-01-01T00:00:00"
"""The header's time, always: equal input gives equal bytes."""
SYSTEM = f"bodycad {VERSION}"
AGREE = 1e-5
"""Relative agreement of the volume after reading back."""
MILLIMETRE = "LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE."
STYLES = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
"""The entity of ISO 10303-46 under which the colours of a shape stand."""
BOX = 1e-3
"""Agreement (mm) of the box of the true surfaces after reading back."""
AS_IS = STEPControl_StepModelType.STEPControl_AsIs


def ascii_names(names: Iterable[str]) -> tuple[str, ...]:
    """The names in plain ASCII, each used once: other signs become `_`, a repeated one gets a
    number."""
    taken: set[str] = set()
    out = []
    for name in names:
        plain = re.sub(r"[^A-Za-z0-9._+-]", "_", name) or "_"
        one, k = plain, 2
        while one in taken:
            one, k = f"{plain}-{k}", k + 1
        taken.add(one)
        out.append(one)
    return tuple(out)


def write_body(solid: occ.Solid, path: Path, name: str, thickness: float) -> None:
    """Write the body alone: one solid named `name`, the flat front and back faces named FRONT and
    BACK.

    Raises FileError when the kernel does not write it or the file fails the gate.
    """
    write_faces(solid, _datum_faces(solid, thickness), path, name)
    refuse(path, faults(path, [solid]))


def write_faces(
    shape: occ.Shape, named: Iterable[tuple[occ.Face, str]], path: Path, name: str
) -> None:
    """Write a shape as one product, with names for some of its faces; of loose faces each is a
    product of its own too, by its name. Raises FileError when the kernel does not write it."""
    writer, names = STEPControl_Writer(), [ascii_names([name])[0]]
    _settings()
    _done(writer.Transfer(shape.wrapped, AS_IS), path)
    finder = writer.WS().TransferWriter().FinderProcess()
    for face, label in named:
        STEPConstruct.FindEntity_s(finder, face.wrapped).SetName(_text(label))
        names.append(label)
    model = writer.Model()
    products = (one for one in _entities(model) if isinstance(one, StepBasic_Product))
    for product, label in zip(products, names):
        product.SetId(_text(label))
        product.SetName(_text(label))
    _headed(model, path)
    _done(writer.Write(str(path)), path)


def write_layout(things: Sequence[NamedSolid], path: Path, name: str) -> None:
    """Write the workpieces and rooms, each named and coloured, as one assembly.

    Raises FileError when the kernel does not write it or the file fails the gate.
    """
    writer = STEPCAFControl_Writer()
    _settings()
    if not writer.Transfer(_assembly(things, name), AS_IS):
        raise FileError(f"{path.name}: the kernel did not write it")
    _headed(writer.ChangeWriter().Model(), path)
    _done(writer.Write(str(path)), path)
    path.write_text(in_order(path.read_text("ascii", errors="replace")), "ascii")
    refuse(path, faults(path, [one.solid for one in things]))


def _settings() -> None:
    """Tell the kernel, whose settings are global, what its writers write: mm and AP214."""
    for key, value in (("write.step.unit", "MM"), ("xstep.cascade.unit", "MM")):
        Interface_Static.SetCVal_s(key, value)
    # In the kernel's own numbering 4 is AP214 as the International Standard (3: AP203, 5: AP242).
    Interface_Static.SetIVal_s("write.step.schema", 4)


def _headed(model: StepData_StepModel, path: Path) -> None:
    """Fill in a model's header, ISO 10303-21 section 8.2: nobody but the maker authorises it."""
    header = APIHeaderSection_MakeHeader(model)
    header.SetDescriptionValue(1, _text(path.stem))
    header.SetName(_text(path.name))
    header.SetTimeStamp(_text(TIME))
    header.SetAuthorValue(1, _text(SYSTEM))
    header.SetOrganizationValue(1, _text(""))
    header.SetPreprocessorVersion(_text(SYSTEM))
    header.SetOriginatingSystem(_text(SYSTEM))
    header.SetAuthorisation(_text(""))


def _entities(model: StepData_StepModel) -> Iterator[Any]:
    return (model.Value(k) for k in range(1, model.NbEntities() + 1))


def _assembly(things: Sequence[NamedSolid], name: str) -> TDocStd_Document:
    """A document of one assembly with the things as its components."""
    application, document = (
        XCAFApp_Application.GetApplication_s(),
        TDocStd_Document(TCollection_ExtendedString("BinXCAF")),
    )
    BinXCAFDrivers.DefineFormat_s(application)
    application.InitDocument(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    shapes.SetAutoNaming_s(False)
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())
    root, *names = ascii_names([f"{name}-layout", *(one.id for one in things)])
    whole = shapes.NewShape()
    _name(whole, root)
    for one, label in zip(things, names, strict=True):
        own = shapes.NewShape()
        shapes.SetShape(own, one.solid.wrapped)
        *red_green_blue, opacity = one.colour
        colour = Quantity_Color(*red_green_blue, Quantity_TypeOfColor.Quantity_TOC_sRGB)
        kind = XCAFDoc_ColorType.XCAFDoc_ColorSurf
        colours.SetColor(own, Quantity_ColorRGBA(colour, opacity), kind)
        for put in (own, shapes.AddComponent(whole, own, TopLoc_Location())):
            _name(put, label)
    shapes.UpdateAssemblies()
    return document


def _name(label: TDF_Label, text: str) -> None:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(text))


def in_order(text: str) -> str:
    """The text of an assembly with its colours in the order of the solids that have them.

    The kernel writes them last, in the order in which its solids lie in memory, which changes from
    run to run. Each solid gets its own chain of styles; numbers before them stay.
    """
    head, end, rest = text.partition("\nENDSEC;\nEND-ISO")
    start = head.find("\n#", (head.find(f"= {STYLES}") - 20) if STYLES in head else len(head))
    if start < 0:
        return text
    rows = re.findall(r"#(\d+) = ([^;]*);", head[start:])
    styles, first = dict(rows), int(rows[0][0])
    out: list[str] = []

    def put(name: str, given: dict[str, str]) -> str:
        """Write what `name` holds after it, under the next number; what comes earlier is kept."""
        if name not in styles:
            return name
        if name not in given:
            given[name] = str(first + len(out))
            place = len(out)
            out.append("")
            held = re.sub(r"#(\d+)", lambda m: f"#{put(m[1], given)}", styles[name])
            out[place] = f"#{given[name]} = {held};"
        return given[name]

    roots = (name for name, held in rows if held.startswith(STYLES))
    for root in sorted(roots, key=lambda name: int(styles[name].rpartition("#")[2].rstrip(")"))):
        put(root, {})
    return "\n".join((head[:start], *out)) + end + rest


def _text(value: str) -> TCollection_HAsciiString:
    return TCollection_HAsciiString(value)


def _done(status: IFSelect_ReturnStatus, path: Path) -> None:
    if status != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise FileError(f"{path.name}: the kernel did not write it ({status})")


def _datum_faces(solid: occ.Solid, thickness: float) -> Iterator[tuple[occ.Face, str]]:
    """The flat front and back faces with their labels: the largest of each is the datum, others are
    numbered."""
    for z, label in ((0.0, "FRONT"), (-thickness, "BACK")):
        plane = (f for f in solid.Faces() if f.geomType() == "PLANE")
        level = (f for f in plane if abs(f.Center().z - z) < 1e-6)
        flat = [f for f in level if abs(abs(f.normalAt().z) - 1.0) < 1e-9]
        for k, face in enumerate(sorted(flat, key=lambda f: -f.Area())):
            yield face, label if k == 0 else f"{label}-{k + 1}"


def refuse(path: Path, found: Sequence[str]) -> None:
    """Raise FileError with every fault when there is one."""
    if found:
        raise FileError(f"{path.name}: {'; '.join(found)}")


def read(path: Path) -> occ.Shape:
    """The file's shape, in mm. Raises FileError when it cannot be read."""
    reader = STEPControl_Reader()
    status = reader.ReadFile(str(path))
    if status != IFSelect_ReturnStatus.IFSelect_RetDone or not reader.TransferRoots():
        raise FileError(f"{path.name}: it cannot be read back")
    shape: occ.Shape = occ.Shape.cast(reader.OneShape())
    return shape


def faults(path: Path, solids: Sequence[occ.Solid]) -> tuple[str, ...]:
    """What is wrong with a written file, compared with the solids that went in; empty when it is
    good."""
    raw = path.read_bytes()
    found = [] if raw.isascii() else ["it has characters outside ASCII"]
    text = raw.decode("ascii", errors="replace")
    if MILLIMETRE not in "".join(text.split()):
        found.append("its length unit is not the millimetre")
    if "AUTOMOTIVE_DESIGN" not in text:
        found.append("it is not AP214")
    back, due = (sorted(many, key=_order) for many in (read(path).Solids(), solids))
    if len(back) != len(due):
        return (*found, f"it holds {len(back)} solids instead of {len(due)}")
    for one, other in zip(back, due):
        found += solid_faults(one) + _differences(one, other)
    return tuple(found)


def _order(solid: occ.Solid) -> tuple[float, ...]:
    size, centre = kernel.roughly(solid)
    return tuple(round(v, 3) for v in (-abs(size), *centre))


def _differences(one: occ.Solid, due: occ.Solid) -> list[str]:
    """Where a solid read back differs from the one written: volume, box, count of faces."""
    found = []
    # One order for both: equal faces give equal sums, however they are bounded.
    sizes = kernel.size(one), kernel.size(due)
    if abs(sizes[0] - sizes[1]) > AGREE * abs(sizes[1]):
        sizes = kernel.volume(one), kernel.volume(due)
    if abs(sizes[0] - sizes[1]) > AGREE * abs(sizes[1]):
        found.append(f"its volume is {sizes[0]:.6g} mm3 instead of {sizes[1]:.6g}")
    rough = kernel.rough_box(one), kernel.rough_box(due)
    off = max(abs(p - q) for p, q in zip(*rough))
    if off > BOX:
        # Rough boxes of equal surfaces may differ where their borders are drawn otherwise.
        true = kernel.box(one), kernel.box(due)
        off = max(abs(p - q) for p, q in zip(*true))
    if off > BOX:
        found.append(f"its box is off by {off:.3g} mm")
    faces = len(one.Faces()), len(due.Faces())
    if faces[0] != faces[1]:
        found.append(f"it has {faces[0]} faces instead of {faces[1]}")
    return found


def solid_faults(solid: occ.Solid) -> list[str]:
    """What other programs stumble over: invalid, inside out, loose tolerances, specks of edge or
    face beyond all measure."""
    found = [] if solid.isValid() else ["it is not a valid solid"]
    if not kernel.size(solid) > 0.0:
        found.append("it is inside out or empty")
    found += [speck.text for speck in specks(solid) if speck.refused]
    return found
