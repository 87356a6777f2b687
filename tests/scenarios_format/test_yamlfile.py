"""YAML: every complaint is one line with file and line; text stays text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from host_sim.errors import InputError
from host_sim.yamlfile import Mapping, Sequence, merged, parse, read


def complaint(text):
    with pytest.raises(InputError) as caught:
        parse(text, "f.yaml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a: 1\nb: [1, 2\n", "f.yaml:3: not YAML"),
        ("a: 1\n\tb: 2\n", "f.yaml:2: not YAML"),
        ("a: 1\nb: 2\na: 3\n", "f.yaml:3: the key 'a' stands twice; first on line 1"),
        ("a: {b: 1, b: 2}\n", "f.yaml:1: the key 'b' stands twice"),
        ("a: &x 1\nb: *x\n", "f.yaml:2: not YAML: aliases"),
        ("a: !!python/name:os.system x\n", "f.yaml:1: not YAML: tags"),
        ("? [1, 2]\n: 3\n", "f.yaml:1: a key must be a single word"),
        ("- 1\n- 2\n", "f.yaml:1: is a list; wanted is a mapping"),
        ("just words\n", "f.yaml:1: is a single value; wanted is a mapping"),
        ("a: 1\n---\nb: 2\n", "f.yaml:2: not YAML"),
        ("a: \x01\n", "f.yaml:1: holds a character that YAML does not allow"),
        ("", "f.yaml: is empty"),
        ("# only a comment\n", "f.yaml: is empty"),
        ("a: " + "[" * 5000, "f.yaml: is nested too deeply"),
    ],
)
def test_what_is_not_usable_is_named_with_its_line(text, says):
    message = complaint(text)
    assert message.startswith(says)
    assert "\n" not in message


def test_files_that_cannot_be_read(tmp_path):
    for path, says in (
        (tmp_path / "none.yaml", "none.yaml: cannot be read: No such file"),
        (tmp_path, "cannot be read: Is a directory"),
        ("a\0b", "is not a usable file name"),
    ):
        with pytest.raises(InputError, match=says):
            read(path)
    odd = tmp_path / "odd.yaml"
    odd.write_bytes(b"a: 1\nb: \xff\n")
    with pytest.raises(InputError, match="odd.yaml:2: byte 0xff is not UTF-8"):
        read(odd)
    odd.write_bytes(b"#" * 1_000_001)
    with pytest.raises(InputError, match="has 1000001 bytes; allowed are 1000000"):
        read(odd)
    odd.write_bytes("\ufeffa: größe\r\n".encode())
    assert read(odd).take("a").string() == "größe"


def test_words_stay_words():
    top = parse("light: off\nlocks: no\nnumber: 010\n", "f.yaml")
    assert top.take("light").word(("off", "on")) == "off"
    assert top.take("locks").flag() is False
    assert top.take("number").whole(0, 100) == 10


def test_unknown_and_missing_keys_are_named_with_what_is_allowed():
    top = parse("tank: 1\nlegz: 2\n", "f.yaml")
    top.take("tank")
    top.take("legs", default=None)
    with pytest.raises(
        InputError, match=r"f.yaml:2: unknown key 'legz' \(did you mean 'legs'\?\); allowed: tank, legs"
    ):
        top.close()
    with pytest.raises(InputError, match="f.yaml:1: the key 'valve' is missing"):
        top.take("valve")


def test_single_values_are_checked_against_their_range():
    top = parse("a: 3.5 s\nb: 12\nc: 0.7\nd: perhaps\ne: ' '\nf: [1]\n", "f.yaml")
    for call, says in (
        (
            lambda: top.take("a").quantity("ms", 0, 3000, show="s"),
            r"f.yaml:1: a: '3.5 s' is out of range; allowed: 0 s to 3 s",
        ),
        (lambda: top.take("a").whole(0, 9), "f.yaml:1: a: '3.5 s' is not a whole number; allowed: 0 to 9"),
        (lambda: top.take("b").whole(0, 9), "f.yaml:2: b: '12' is out of range; allowed: 0 to 9"),
        (lambda: top.take("b").quantity("s", 0, 99), "f.yaml:2: b: '12' has no unit"),
        (lambda: top.take("c").number(0.8, 1.0), "f.yaml:3: c: '0.7' is out of range; allowed: 0.8 to 1"),
        (lambda: top.take("d").number(0.8, 1.0), "f.yaml:4: d: 'perhaps' is not a plain number"),
        (lambda: top.take("d").flag(), "f.yaml:4: d: 'perhaps' is not known; allowed: yes, no"),
        (lambda: top.take("e").string(), "f.yaml:5: e: is empty"),
        (lambda: top.take("f"), "f.yaml:6: f: is a list; wanted is a single value"),
        (lambda: top.take("a", Mapping), "f.yaml:1: a: is a single value; wanted is a mapping"),
        (lambda: top.take("f", Sequence).of(Mapping), "f.yaml:6: f: is a single value; wanted is a mapping"),
    ):
        with pytest.raises(InputError, match=says):
            call()


def test_merging_goes_key_by_key_and_keeps_the_places():
    base = parse("a: {x: 1, y: 2}\nb: [1]\nc: {z: 3}\n", "base.yaml")
    over = parse("\n\na: {y: 5, w: 6}\nb: [7, 8]\nc: none\n", "over.yaml")
    top = merged(base, over)
    a = top.take("a", Mapping)
    assert [a.take(key).text for key in ("x", "y", "w")] == ["1", "5", "6"]
    assert (a.take("x").file, a.take("y").file, a.take("y").line) == ("base.yaml", "over.yaml", 3)
    assert len(top.take("b", Sequence).items) == 2
    assert top.take("c").text == "none"
    assert base.take("a", Mapping).take("y").text == "2"


@given(st.text(alphabet=st.sampled_from("ab: \n-[]{},'\"&*!|>#%0\t"), max_size=60))
def test_any_text_is_read_or_refused_in_one_line(text):
    try:
        parse(text, "f.yaml")
    except InputError as error:
        assert str(error).startswith("f.yaml") and "\n" not in str(error)
