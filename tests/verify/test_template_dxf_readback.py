"""Read-back of the template DXF: the sound file passes, spoilt ones do not."""

import io
from dataclasses import asdict, replace

import ezdxf
import pytest
from drawing.sample import JOB, REVISION, firewall
from ezdxf.math import Vec3
from hypothesis import given, settings
from hypothesis import strategies as st

from generators.drawing.dxf.template import write_template_dxf
from generators.model.spec.shop import TemplateLayers
from generators.verify.dxf.template import read_template_dxf


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    path = tmp_path_factory.mktemp("dxf") / "template.dxf"
    write_template_dxf(firewall(), path, job=JOB, revision=REVISION)
    return path


def _read(path, layout=None):
    return read_template_dxf(path, layout or firewall(), rel=path.name, revision=REVISION)


def _first(msp, kind, layer):
    return next(e for e in msp.query(kind) if e.dxf.layer == layer)


def test_what_we_write_reads_back(sound):
    assert _read(sound).problems == ()


def _move(msp):
    circle = _first(msp, "CIRCLE", "DRILL")
    circle.translate(0.001, 0, 0)


def _grow(msp):
    _first(msp, "CIRCLE", "DRILL").dxf.radius += 0.001


def _relayer(msp):
    _first(msp, "CIRCLE", "BLANK").dxf.layer = "DRILL"


def _double(msp):
    circle = _first(msp, "CIRCLE", "DRILL")
    msp.add_circle(circle.dxf.center, circle.dxf.radius, dxfattribs={"layer": "DRILL"})


def _drop(msp):
    msp.delete_entity(_first(msp, "CIRCLE", "PILOT"))


def _open(msp):
    _first(msp, "LWPOLYLINE", "PANEL_EDGE").closed = False


def _bend(msp):
    edge = _first(msp, "LWPOLYLINE", "PANEL_EDGE")
    points = edge.get_points("xyb")
    edge.set_points([(x + 0.01, y, b) for x, y, b in points], format="xyb")


def _text(msp):
    _first(msp, "TEXT", "NOTES").dxf.layer = "DRILL"


def _bar(msp):
    line = _first(msp, "LINE", "CHECK_BAR")
    line.dxf.end += Vec3(0.5, 0, 0)


def _fold(msp):
    msp.delete_entity(_first(msp, "LINE", "FOLD"))


def _spline(msp):
    msp.add_spline([(0, 0), (10, 5), (20, 0)], dxfattribs={"layer": "DRILL"})


def _layer(msp):
    msp.doc.layers.add("EXTRA")


def _paint(msp):
    msp.doc.layers.get("DRILL").color = 1


def _dash(msp):
    msp.doc.layers.get("DRILL").dxf.linetype = "ISO128_02"


def _units(msp):
    msp.doc.header["$INSUNITS"] = 1


def _measurement(msp):
    msp.doc.header["$MEASUREMENT"] = 0


def _silent(msp):
    for text in list(msp.query("TEXT")):
        if "revision" in text.dxf.text:
            msp.delete_entity(text)


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        (_move, "hole 1 has no"),
        (_grow, "hole 1 has no"),
        (_relayer, "hole C has no"),
        (_double, "is twice there or not in the plan"),
        (_drop, "pilot of hole"),
        (_open, "is open"),
        (_bend, "the panel's edge is not drawn as planned"),
        (_text, "text on layer DRILL"),
        (_bar, "check bars"),
        (_fold, "the fold to toe_board"),
        (_spline, "has a SPLINE"),
        (_layer, "layers"),
        (_paint, "the layer DRILL has colour 1, not 7"),
        (_dash, "the layer DRILL has line type ISO128_02, not the continuous line"),
        (_units, "declares units 1"),
        (_measurement, "measurement 0"),
        (_silent, "does not say revision"),
    ],
)
def test_every_change_is_caught(sound, tmp_path, change, complaint):
    doc = ezdxf.readfile(sound)
    change(doc.modelspace())
    path = tmp_path / "changed.dxf"
    doc.saveas(path)
    assert any(complaint in p for p in _read(path).problems), _read(path).problems


def test_another_plan_is_caught(sound):
    layout = firewall()
    assert not _read(sound, replace(layout, holes=layout.holes[:-1])).good
    assert not _read(sound, replace(layout, keepouts=layout.keepouts[1:])).good
    assert not _read(sound, replace(layout, title="Another")).good


def _binary_start() -> bytes:
    """The first line of a binary DXF, which this house does not write, and nothing after it."""
    stream = io.BytesIO()
    ezdxf.new().write(stream, fmt="bin")
    return stream.getvalue()[:22]


BINARY = _binary_start()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"0\nEOF\n",
        b"  0\nSECTION\n  2\nHEADER\n",
        b"\xff\xfe\x00garbage",
        BINARY,
    ],
)
def test_no_dxf_is_a_problem_not_a_crash(tmp_path, data):
    path = tmp_path / "bad.dxf"
    path.write_bytes(data)
    assert not _read(path).good


def test_a_missing_file_is_a_problem(tmp_path):
    assert not _read(tmp_path / "none.dxf").good


@settings(max_examples=25, deadline=None)
@given(st.floats(0, 0.9999))
def test_a_truncated_file_is_a_problem(sound, tmp_path_factory, share):
    data = sound.read_bytes()
    path = tmp_path_factory.mktemp("cut") / "t.dxf"
    path.write_bytes(data[: int((len(data) - 6) * share)])
    assert not _read(path).good


def test_layers_have_the_shops_names_two_of_them_exchanged(tmp_path):
    path = tmp_path / "named.dxf"
    names = TemplateLayers(drill="PILOT", pilot="DRILL", notes="9-Text")
    write_template_dxf(firewall(), path, job=JOB, revision=REVISION, names=names)
    document = ezdxf.readfile(path)
    found = {layer.dxf.name for layer in document.layers} - {"0", "Defpoints"}
    assert found == {*(n.upper() for n in asdict(names)), "9-Text"} - {"NOTES"}
    drilled = [h for h in firewall().holes if h.status == "drill"]
    sizes = sorted(2 * e.dxf.radius for e in document.modelspace().query("CIRCLE") if e.dxf.layer == "PILOT")
    assert sizes == pytest.approx(sorted(h.final_dia_mm for h in drilled))
    back = read_template_dxf(path, firewall(), rel=path.name, revision=REVISION, names=names)
    assert back.good, back.problems
    # under its own names it is another file, and its drill and pilot circles are told apart
    assert not _read(path).good
    write_template_dxf(firewall(), path, job=JOB, revision=REVISION, names=TemplateLayers(drill="X"))
    assert any("lacks the layers" in p for p in _read(path).problems)
