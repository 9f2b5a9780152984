"""What is written is valid against the MusicXML 4.0 schema.

Source: W3C MusicXML 4.0 musicxml.xsd, as the package musicxml 1.6.3 carries it. The schema imports
two more by address: XML's own attributes and XLink 1.1; the few attributes that it uses of them are
declared here from those recommendations, so nothing is fetched.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from solowright.errors import InputError
from solowright.files.musicxml_read import read_musicxml
from solowright.files.musicxml_write import write_musicxml
from solowright.music.tune import Tune
from tests.data import data_folder
from tests.files.any_tunes import free_tunes, tunes

_HEAD = '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="{}">'
XML = _HEAD.format("http://www.w3.org/XML/1998/namespace") + (
    '<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:NCName"/></xs:schema>'
)
XLINK = _HEAD.format("http://www.w3.org/1999/xlink") + (
    "".join(
        f'<xs:attribute name="{name}" type="xs:{kind}"/>'
        for name, kind in (
            ("href", "anyURI"), ("type", "string"), ("role", "anyURI"), ("title", "string"),
            ("show", "string"), ("actuate", "string"),
        )
    )
    + "</xs:schema>"
)  # fmt: skip


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> etree.XMLSchema:
    found = find_spec("musicxml")
    if found is None or not found.submodule_search_locations:
        pytest.skip("the package musicxml, which carries the schema, is not installed")
    source = Path(found.submodule_search_locations[0]) / "generate_classes" / "musicxml_4_0.xsd"
    folder = tmp_path_factory.mktemp("schema")
    text = source.read_text("utf-8").replace("http://www.musicxml.org/xsd/", "")
    (folder / "musicxml.xsd").write_text(text, "utf-8")
    (folder / "xml.xsd").write_text(XML, "utf-8")
    (folder / "xlink.xsd").write_text(XLINK, "utf-8")
    return etree.XMLSchema(etree.parse(folder / "musicxml.xsd"))


def check(schema: etree.XMLSchema, tune: Tune) -> bool:
    """Whether the tune could be written; it is then valid."""
    try:
        written = write_musicxml(tune)
    except InputError as error:
        assert "too fine" in str(error)
        return False
    schema.assertValid(etree.fromstring(written))
    return True


def test_the_schema_refuses_what_is_not_musicxml(schema: etree.XMLSchema) -> None:
    assert not schema.validate(etree.fromstring("<score-partwise><part-list/></score-partwise>"))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(tune=st.one_of(tunes(), free_tunes()))
def test_any_tune_is_written_valid(schema: etree.XMLSchema, tune: Tune) -> None:
    check(schema, tune)


def test_the_lead_sheets_are_written_valid(schema: etree.XMLSchema) -> None:
    files = sorted(data_folder("leadsheets").glob("*.mxl"))
    valid = [file.name for file in files if check(schema, read_musicxml(file.read_bytes(), file.name))]
    assert len(valid) == len(files) == 31
