"""The case file: every kind of mistake gives its file, line, field and a remedy, all at once."""

from __future__ import annotations

import os
import re
import shutil
import sys
from pathlib import Path

import pytest

from drumwright.basis.errors import InputError, Problem
from drumwright.station import source_text
from drumwright.station.casefile import load, template, warnings, write_template
from drumwright.station.records import Case, iter_fields

HEAD = '[[product]]\nname = "paste"\n'


def problems_of(path: Path, settings: dict[str, str] | None = None) -> tuple[Problem, ...]:
    """Return the problems of a file that must have some."""
    with pytest.raises(InputError) as caught:
        load(path, settings or {})
    for problem in caught.value.problems:
        assert problem.what and problem.remedy and problem.file
        assert str(problem).startswith(problem.file.replace("\0", " "))
        assert "pydantic" not in str(problem) and "Traceback" not in str(problem)
    return caught.value.problems


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Path of a case that does not exist yet."""
    return tmp_path / "case.toml"


RATE = "product.flow_curve.shear_rate"
CURVE = '[[product.flow_curve]]\ntemperature = "22 C"\n'


@pytest.mark.parametrize(
    ("text", "line", "field", "word"),
    [
        ('[line]\nbor = "DN65"', 4, "line.bor", "bore"),
        ('[linee]\nbore = "DN65"', 3, "linee", "line"),
        ('[line]\ndensity = "1 kg/m3"', 4, "line.density", "product"),
        ('[line]\nlength = "2 bar"', 4, "line.length", "a length"),
        ('[line]\nlength = "12.500 m"', 4, "line.length", "12500 m"),
        ('[line]\nlength = "1,250 m"', 4, "line.length", "1250 m"),
        ("[line]\nlength = nan", 4, "line.length", "ordinary number"),
        ("[line]\nlength = inf", 4, "line.length", "ordinary number"),
        ('[line]\nlength = "-2 m"', 4, "line.length", "0 m"),
        ('[line]\nlength = "5000 m"', 4, "line.length", "2000 m"),
        ("[line]\nlength = 6", 4, "line.length", "6 m"),
        ('[line]\npressure_class = "6 bar"', 4, "line.pressure_class", "bar(g)"),
        ('[line]\npressure_class = "6 bar(a)"', 4, "line.pressure_class", "subtract"),
        ('[line]\nexisting = "yes"', 4, "line.existing", "true"),
        ("[line]\nexisting = 1", 4, "line.existing", "true"),
        ('[line]\nexisting = "perhaps"', 4, "line.existing", "true or false"),
        ('[line]\nlength = {low = "3 m", high = "2 m"}', 4, "line.length", "order"),
        ('[line]\nlength = {low = "3 m", likely = "2 m", high = "4 m"}', 4, "line.length", "order"),
        ('[line]\nlength = {value = "3 m", bais = "measured"}', 4, "line.length.bais", "basis"),
        ('[line]\nlength = {value = "3 m", basis = "guessed"}', 4, "line.length.basis", "assumed"),
        ('[line]\nlength = {value = "3 m", likely = "3 m"}', 4, "line.length", "one"),
        ('[line]\nlength = {value = "3 m", plus_minus = "-1 m"}', 4, "line.length.plus_minus", "sign"),
        ('[line]\nlength = {value = "3 m", plus_minus = "1 bar"}', 4, "line.length.plus_minus", "length"),
        ('[line]\nlength = {note = "x"}', 4, "line.length", "value"),
        ("[line]\nlength = []", 4, "line.length", "quotes"),
        ('[container]\nkind = "straight drum"', 4, "container.kind", "straight_drum"),
        ('[container]\nliner = "paper"', 4, "container.liner", "words"),
        ("[container.kind]\nx = 1", 3, "container.kind", "words"),
        ('[enquiry]\nresidue_wanted = 3', 4, "enquiry.residue_wanted", "3 %"),
        ('[enquiry]\nflow = "20 kg/h"', 4, "enquiry.flow", "density"),
        ("[case]\nseed = 1.5", 4, "case.seed", "whole"),
        ("[case]\ntitle = true", 4, "case.title", "quotes"),
        ('[case]\ntitle = "a\\u0007"', 4, "case.title", "remove"),
        ("[[product]]\nfood = true", 3, "product[1].name", "add"),
        ('[[product]]\nname = " "', 4, "product[1].name", "name"),
        ('[[product]]\nname = "paste"', 4, "product[1].name", "rename"),
        ('allergens = "milk"', 3, "product.allergens", "brackets"),
        ('temperature = "22 C"', 3, "product.temperature", "heading"),
        ('temperature = {low = "30 C", norm = "22 C"}', 3, "product.temperature", "order"),
        ('temperature = {norm = "22 C", high = "10 C"}', 3, "product.temperature", "order"),
        (f"{CURVE}shear_rate = [1, 2, 3]\nstress = [1, 2]", 6, "product.flow_curve.stress", "shorter"),
        (f"{CURVE}shear_rate = [1, 3, 2]\nstress = [1, 2, 3]", 5, RATE + "[2]", "sort"),
        (f"{CURVE}shear_rate = [1, 1, 2]\nstress = [1, 2, 3]", 5, RATE + "[1]", "sort"),
        (f"{CURVE}shear_rate = []\nstress = []", 5, "product.flow_curve.shear_rate", "viscosity"),
        (f"{CURVE}shear_rate = [1, 2]\nstress = [1, 2]", 5, "product.flow_curve.shear_rate", "points"),
        (f"{CURVE}shear_rate = [1, 2, 3]", 3, "product.flow_curve", "measured"),
        (f'{CURVE}shear_rate = [1, "2", 3]\nstress = [1, 2, 3]', 5, RATE + "[1]", "quotes"),
        (f"{CURVE}shear_rate = [-1, 2, 3]\nstress = [1, 2, 3]", 5, RATE + "[0]", "correct"),
        (f"{CURVE}shear_rate = [1, nan, 3]\nstress = [1, 2, 3]", 5, RATE + "[1]", "unit"),
        (
            f'{CURVE}shear_rate = [1, 2, 3]\nstress = [1, 2, 3]\nstress_unit = "bra"',
            7, "product.flow_curve.stress_unit", "unit",
        ),
        ('[[duty]]\nproduct = "past"', 4, "duty.product", "paste"),
        ('[[duty]]\nproduct = "zzz"', 4, "duty.product", "names"),
        ('[[duty]]\ncontainer = "drum"', 4, "duty.container", "container"),
        ('[[duty]]\nshare = "60 %"\n[[duty]]\nshare = "60 %"', 6, "duty[1].share", "reduce"),
        ('[destination]\ninlet_pressure_low = "3 bar(g)"\ninlet_pressure_high = "1 bar(g)"',
         4, "destination.inlet_pressure_low", "order"),
        ("[line.length]\nvalue = 3", 4, "line.length.value", "3 m"),
        ("[[line]]\nbore = 'DN65'", 3, "line", "heading"),
        ("[line]\nbends = -1", 4, "line.bends", "check"),
        ('[product.particles]\nhardness = "mushy"', 4, "product.particles.hardness", "words"),
    ],
)  # fmt: skip
def test_mistakes_are_named_with_line_field_and_remedy(
    file: Path, text: str, line: int, field: str, word: str
) -> None:
    file.write_text(HEAD + text + "\n", encoding="utf-8")
    (problem,) = problems_of(file)
    assert (problem.line, problem.field) == (line, field)
    assert word in problem.remedy + problem.allowed
    assert problem.file == str(file) and problem.column >= 1


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ('bore = "DN65"\nbore = "DN80"', 5, "remove one"),
        ('bore = "DN65"\n[line]', 5, "remove one"),
        ("bore = DN65\nrise = 1", 4, "quotes"),
        ("bore = 65 mm", 4, "quotes"),
        ('bore = "65 mm', 4, "close"),
        ("bore", 4, "template"),
        ("bore = [1, 2", 5, ""),
    ],
)
def test_broken_toml_is_named_with_its_line(file: Path, text: str, line: int, word: str) -> None:
    file.write_text(f"{HEAD}[line]\n{text}\n", encoding="utf-8")
    (problem,) = problems_of(file)
    assert abs(problem.line - line) <= (0 if word else 1)
    assert word in problem.remedy


@pytest.mark.parametrize(
    ("content", "line", "word"),
    [
        (b"", 0, "empty"),
        (b"  \n# only a remark\n", 0, "empty"),
        (b"\xef\xbb\xbf", 0, "empty"),
        (b"a = 1\n\x00\x01", 2, "not text"),
        (b'[case]\ntitle = "22 \xb0C"\n', 2, "0xb0"),
        ("a = 1".encode("utf-16"), 0, "UTF-16"),
        (b"a = " + b"[" * 50_000, 0, "deep"),
        (b"a = " + b"1" * 10_000, 0, "digits"),
        (b"format = 2\n", 1, "newer"),
        (b'format = "new"\n[[product]]\nname = "x"', 1, "whole"),
        (b"[case]\n", 0, "no product"),
        (b'source = "x"\n[[product]]\nname = "x"', 1, "no field"),
        (b"product = []", 1, "no product"),
    ],
)
def test_useless_files_are_named(file: Path, content: bytes, line: int, word: str) -> None:
    file.write_bytes(content)
    (problem,) = problems_of(file)
    assert problem.line == line
    assert word in problem.what


def test_a_byte_order_mark_is_taken(file: Path) -> None:
    file.write_bytes(b"\xef\xbb\xbf" + HEAD.encode() + b'[line]\nlength = "2 bar"\n')
    (problem,) = problems_of(file)
    assert (problem.line, problem.column) == (4, 1)


def test_a_large_file_is_refused_before_it_is_read(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with file.open("wb") as stream:
        stream.truncate(50_000_000)
    monkeypatch.setattr(Path, "read_bytes", lambda self: pytest.fail("was read"))
    (problem,) = problems_of(file)
    assert "50.0 MB" in problem.what


def test_folders_devices_and_missing_files_are_named(tmp_path: Path) -> None:
    (tmp_path / "tomato.toml").write_text(HEAD, encoding="utf-8")
    assert "folder" in problems_of(tmp_path)[0].what
    assert "no such file" in problems_of(tmp_path / "other.toml")[0].what
    assert "tomato.toml" in problems_of(tmp_path / "tomatto.toml")[0].remedy
    assert "no such file" in problems_of(tmp_path / "tomato.toml" / "x.toml")[0].what
    assert problems_of(Path("a\x00b"))[0].what
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.toml")
        assert "device or pipe" in problems_of(tmp_path / "pipe.toml")[0].what


def test_all_problems_come_at_once_in_the_order_of_the_file(file: Path) -> None:
    file.write_text(
        HEAD + 'density = "2 bar"\nfod = true\n[line]\nbore = 65\nlength = {low = 1, high = "2 bar"}\n',
        encoding="utf-8",
    )
    found = [(problem.line, problem.field) for problem in problems_of(file, {"line.rise": "x"})]
    assert found == [
        (3, "product.density"),
        (4, "product.fod"),
        (6, "line.bore"),
        (7, "line.length.low"),
        (7, "line.length.high"),
        (0, "line.rise"),
    ]


def test_what_the_user_wrote_cannot_steer_the_terminal(file: Path) -> None:
    file.write_text(HEAD + '[container]\nkind = "a\\u001b[2J\\nb"\n["l\\ni"]\n', encoding="utf-8")
    found = problems_of(file)
    assert len(found) == 2
    assert all(str(problem).isprintable() for problem in found)


def test_problem_prints_on_one_line() -> None:
    problem = Problem("a.toml", 3, 1, "line.bore", "wrong", "this", "that")
    assert str(problem) == "a.toml:3: line.bore: wrong; allowed: this; do: that"
    assert str(InputError((problem, problem))).count("\n") == 1


# ---- cards ----------------------------------------------------------------------------------------------


def write(folder: Path, **texts: str) -> Path:
    """Write files named by keyword and return the path of ``case.toml``."""
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder / "case.toml"


@pytest.mark.parametrize(
    "card", ['name = "paste"\ndensity = "1130 kg/m3"', '[product]\nname = "paste"\ndensity = "1130 kg/m3"']
)
def test_a_card_fills_the_record_and_the_case_comes_first(tmp_path: Path, card: str) -> None:
    path = write(tmp_path, case='[product]\nfile = "card.toml"\nname = "mine"', card=card)
    case = load(path)
    assert case.product[0].name == "mine"
    assert case.product[0].density is not None and case.product[0].density.likely == 1130.0
    before = case.digest
    write(tmp_path, card=card + "\n# remark")
    assert load(path).digest != before


def test_a_problem_in_a_card_names_the_card(tmp_path: Path) -> None:
    path = write(tmp_path, case='[[product]]\nfile = "card.toml"', card='name = "x"\n\ndensity = "2 bar"')
    (problem,) = problems_of(path)
    assert (problem.file, problem.line, problem.field) == (
        (tmp_path / "card.toml").as_posix(),
        3,
        "product.density",
    )


@pytest.mark.parametrize(
    ("texts", "word"),
    [
        ({"case": '[product]\nfile = "none.toml"'}, "no such file"),
        ({"case": '[product]\nfile = "case.toml"'}, "leads back"),
        (
            {"case": '[product]\nfile = "a.toml"', "a": 'file = "b.toml"', "b": 'file = "a.toml"'},
            "leads back",
        ),
        ({"case": '[product]\nfile = "/etc/hostname"'}, "absolute"),
        ({"case": '[product]\nfile = "C:\\\\cards\\\\a.toml"'}, "absolute"),
        ({"case": '[product]\nfile = "../../../../a.toml"'}, "leaves"),
        ({"case": "[product]\nfile = 3"}, "name of a file"),
        ({"case": '[product]\nfile = ""'}, "name of a file"),
        ({"case": '[product]\nfile = "."'}, "folder"),
        ({"case": '[product]\nfile = "a.toml"', "a": "[[product]]\n[[product]]"}, "single product"),
        ({"case": '[product]\nfile = "a.toml"', "a": "x = ["}, "cannot be used"),
    ],
)
def test_bad_references_are_named(tmp_path: Path, texts: dict[str, str], word: str) -> None:
    found = problems_of(write(tmp_path, **texts))
    assert any(word in problem.what for problem in found)
    assert found[0].field == "product.file" and found[0].line >= 1


def test_a_reference_out_of_the_folder_through_a_link_is_refused(tmp_path: Path) -> None:
    home = tmp_path / "one" / "two"
    home.mkdir(parents=True)
    (tmp_path / "secret.toml").write_text('name = "x"', encoding="utf-8")
    (home / "link.toml").symlink_to(tmp_path / "secret.toml")
    assert "leaves" in problems_of(write(home, case='[product]\nfile = "link.toml"'))[0].what


def test_file_is_no_field_where_no_card_may_stand(file: Path) -> None:
    file.write_text(f'{HEAD}[line]\nfile = "x.toml"\n', encoding="utf-8")
    assert problems_of(file)[0].field == "line.file"


# ---- warnings and template ------------------------------------------------------------------------------


def test_what_is_unusual_is_warned_of_with_its_line(file: Path) -> None:
    file.write_text(
        f'{HEAD}density = "5000 kg/m3"\n[line]\nlength = "6 m"\nrise = "90 m"\n', encoding="utf-8"
    )
    found = warnings(load(file))
    assert [(each.line, each.field) for each in found] == [(3, "product.density"), (6, "line.rise")]
    assert all(each.what and each.remedy for each in found)
    file.write_text(f'{HEAD}density = "1000 kg/m3"\n', encoding="utf-8")
    assert warnings(load(file)) == ()


def test_the_template_is_a_valid_case_without_warnings(file: Path) -> None:
    write_template(file)
    case = load(file)
    assert warnings(case) == ()
    assert "invented" in case.product[0].name
    answered = [path for path, _, value in iter_fields(case) if value not in (None, ())]
    assert {"line.bore", "line.length", "line.rise", "enquiry.flow", "destination.kind"} <= set(answered)


def test_every_example_in_the_template_can_be_used(file: Path) -> None:
    text = re.sub(r"^# ([a-z_.]+ = )", r"\1", template(), flags=re.MULTILINE)
    instead = ("product.model", "line.tube", "line.part")
    lines = [line for line in text.splitlines() if not line.startswith(instead)]
    text = "\n".join(lines).replace('case.stock = "..."', 'case.stock = "parts.toml"')
    file.write_text(f"{text}\n", encoding="utf-8")
    shutil.copy(Path(__file__).parents[2] / "cases" / "stock-example.toml", file.with_name("parts.toml"))
    case = load(file)
    assert warnings(case) == ()
    for path, _, value in iter_fields(case):
        if not path.startswith(("product.flow_curve", "duty", *instead)):
            assert value not in (None, ()), path


def test_the_template_never_overwrites(file: Path, tmp_path: Path) -> None:
    file.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError):
        write_template(file)
    assert file.read_text(encoding="utf-8") == "mine"
    with pytest.raises(InputError):
        write_template(tmp_path / "no" / "such" / "folder.toml")


def test_the_generated_files_are_up_to_date() -> None:
    import subprocess

    tool = Path(__file__).parents[2] / "tools" / "make_field_reference.py"
    done = subprocess.run([sys.executable, str(tool), "--check"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_positions_are_built_only_for_problems(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_template(file)
    monkeypatch.setattr(source_text, "Positions", lambda content: pytest.fail("was built"))
    assert isinstance(load(file), Case)


def test_the_same_bytes_give_the_same_digest(file: Path) -> None:
    write_template(file)
    assert load(file).digest == load(file).digest


def test_the_example_of_the_guide_is_a_case(file: Path) -> None:
    guide = (Path(__file__).parents[2] / "docs" / "how-to-first-case.md").read_text(encoding="utf-8")
    first, second = re.findall(r"```toml\n(.*?)```", guide, re.DOTALL)
    file.write_text(first, encoding="utf-8")
    assert load(file).product[0].flow_curve
    (file.parent / "cards").mkdir()
    (file.parent / "cards" / "tomato.toml").write_text(first.partition("[line]")[0], encoding="utf-8")
    file.write_text(second, encoding="utf-8")
    case = load(file)
    assert case.product[0].temperature.low is not None
    assert case.product[0].temperature.low.likely == pytest.approx(278.15)
    assert case.product[0].temperature.norm is not None
