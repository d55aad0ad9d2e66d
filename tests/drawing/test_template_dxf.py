"""The template DXF as another program sees it."""

import ezdxf
import pytest
from drawing.sample import JOB, REVISION, firewall
from ezdxf.tools.pattern import ISO_PATTERN

from generators.drawing.dxf.template import write_template_dxf
from generators.errors import ExportError


@pytest.fixture(scope="module")
def doc(tmp_path_factory):
    path = tmp_path_factory.mktemp("dxf") / "template.dxf"
    write_template_dxf(firewall(), path, job=JOB, revision=REVISION)
    return ezdxf.readfile(path)


def test_it_declares_millimetres_twice(doc):
    assert doc.dxfversion == "AC1024"
    assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == (4, 1)


def test_every_hole_is_a_circle_on_the_layer_of_its_operation(doc):
    layers = {"drill": "DRILL", "datum": "EXISTING", "reuse": "EXISTING", "blank": "BLANK"}
    rings = {
        (c.dxf.layer, c.dxf.center.x, c.dxf.center.y, 2 * c.dxf.radius)
        for c in doc.modelspace().query("CIRCLE")
    }
    wanted = {(layers[h.status], h.u_mm, h.v_mm, h.final_dia_mm) for h in firewall().holes}
    wanted |= {("PILOT", h.u_mm, h.v_mm, h.pilot_dia_mm) for h in firewall().holes if h.pilot_dia_mm}
    assert rings == wanted
    assert len(doc.modelspace().query("CIRCLE")) == len(wanted)


def test_every_layer_is_neutral_and_its_line_one_of_iso_128(doc):
    layers = {layer.dxf.name: layer for layer in doc.layers}
    assert {layer.color for layer in layers.values()} == {7}
    lines = {name: (layer.dxf.linetype, layer.dxf.lineweight) for name, layer in layers.items()}
    assert lines["DRILL"] == lines["PANEL_EDGE"] == ("Continuous", 50)
    # dashed on the paper template too: there already
    assert lines["EXISTING"] == ("ISO128_02", 25)
    dashes = [t.value for t in doc.linetypes.get("ISO128_05").pattern_tags.tags if t.code == 49]
    assert dashes == pytest.approx([0.25 * x for x in ISO_PATTERN["ISO05W100"][0][3]])


def test_outlines_are_closed_and_keep_their_arcs(doc):
    outlines = doc.modelspace().query("LWPOLYLINE")
    assert all(p.closed for p in outlines)
    (edge,) = [p for p in outlines if p.dxf.layer == "PANEL_EDGE"]
    assert sum(1 for *_, bulge in edge.get_points("xyb") if bulge) == 3  # the sample has three round corners
    assert not doc.modelspace().query("SPLINE")


def test_words_are_on_the_notes_layer_only(doc):
    texts = doc.modelspace().query("TEXT MTEXT")
    assert {t.dxf.layer for t in texts} == {"NOTES"}
    words = "\n".join(t.dxf.text for t in texts)
    for phrase in (
        "UP",
        "CAB FACE",
        f"revision {REVISION}",
        "Firewall",
        "4 in check bar",
        "fold to toe board, 45 deg",
    ):
        assert phrase in words


def test_the_same_job_gives_the_same_bytes(tmp_path):
    for name in ("a.dxf", "b.dxf"):
        write_template_dxf(firewall(), tmp_path / name, job=JOB, revision=REVISION)
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()


def test_a_path_that_cannot_be_written_is_said(tmp_path):
    with pytest.raises(ExportError):
        write_template_dxf(firewall(), tmp_path / "no" / "a.dxf", job=JOB, revision=REVISION)
