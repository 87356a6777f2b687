"""Every branch of the controller is taken by the unit tests, and the gate that says so can fail."""

import pytest

from tests.branches import __main__ as gate

CODE = """def f(a):
    for index in range(a):
        if index == 2:
            return 1
    return 0
"""
TEST = "from controller.x import f\n\n\ndef test_f():\n    assert f(1) == 0\n"


def project(folder, code=CODE, test=TEST):
    for name, text in {
        "controller/__init__.py": "",
        "controller/x.py": code,
        "tests/unit/test_x_edges.py": test,
    }.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    return folder


def test_branch_that_no_test_takes_is_named(tmp_path):
    _, faults = gate.check(project(tmp_path))
    assert faults == ["x.py:4: not run", "x.py:3: never goes on to line 4"]


def test_loop_that_never_ends_by_itself_and_code_that_hides_are_named(tmp_path):
    hiding = CODE.replace("    return 0\n", "    return 0  # pragma: no cover\n")
    _, faults = gate.check(project(tmp_path, hiding, TEST.replace("f(1) == 0", "f(9) == 1")))
    assert "x.py:2: loop that does not both run and end" in faults
    assert "x.py:5: not run" in faults
    assert "x.py:5: asks to be left out of a measurement" in faults


def test_test_that_fails_is_no_measurement(tmp_path):
    with pytest.raises(SystemExit, match="do not pass"):
        gate.check(project(tmp_path, test=TEST.replace("== 0", "== 5")))


@pytest.mark.deep
def test_every_branch_of_the_controller_is_taken():
    _, faults = gate.check(gate.ROOT)
    assert faults == []
