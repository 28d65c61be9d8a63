import numpy as np
import pytest

from loopwright.formats.measurements import read_measurement
from loopwright.ground.errors import MeasurementError

ONE = "! made\n# MHz S RI R 50\n120 0.1 0.2\n121 0.2 0.1\n122 0.3 -0.1\n"


def written(tmp_path, text, name="element.s1p"):
    path = tmp_path / name
    path.write_text(text)
    return path


def test_frequencies_matrices_and_reference_come_through(tmp_path):
    found = read_measurement(written(tmp_path, ONE))
    assert found.frequencies_hz == pytest.approx([120e6, 121e6, 122e6])
    assert found.scattering[:, 0, 0] == pytest.approx([0.1 + 0.2j, 0.2 + 0.1j, 0.3 - 0.1j])
    assert found.reference_ohm == 50
    assert found.name == "element.s1p"


def test_two_ports_stand_in_the_order_of_the_standard(tmp_path):
    """Touchstone writes S11 S21 S12 S22 for two ports, row by row for more."""
    text = "# GHz S MA R 75\n0.12 0.1 0 0.2 0 0.3 0 0.4 0\n"
    found = read_measurement(written(tmp_path, text, "pair.s2p"))
    assert np.abs(found.scattering[0]) == pytest.approx(np.array([[0.1, 0.3], [0.2, 0.4]]))
    assert found.reference_ohm == 75


@pytest.mark.parametrize(
    ("text", "name", "said"),
    [
        (ONE, "element.csv", "name the file by its ports"),
        (ONE + "123 0.1\n", "element.s2p", "9 numbers for each frequency of 2 ports"),
        (ONE + "123 0.1\n", "element.s1p", "element.s1p:6: values = 11 numbers, 2 too many"),
        (ONE.replace("0.3", "dead"), "element.s1p", "element.s1p:5: value = dead"),
        (ONE.replace("122", "119"), "element.s1p", "not rising"),
        ("# MHz S RI R 50\n", "element.s1p", "0 numbers"),
        ("[Version] 2.0\n" + ONE, "element.s1p", "export it as version 1"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line_and_a_remedy(tmp_path, text, name, said):
    with pytest.raises(MeasurementError) as caught:
        read_measurement(written(tmp_path, text, name))
    assert said in str(caught.value)
    assert "remedy:" in str(caught.value)


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(MeasurementError, match="No such file"):
        read_measurement(tmp_path / "none.s1p")
