"""Lines that each command understands, to be spoiled in one or two places; most random lines stop at the parser.

``@house``, ``@task-choose``, ``@answer-choose`` and the like stand for files of these kinds, ``@`` for any file.
"""

from __future__ import annotations

from tests.security.fuzz_files import KINDS

_CABLE = "--cable flat --line 2.5 --protective 1.5 --length 20"
GOOD: dict[str, tuple[str, ...]] = {
    "agree": ("--seeds 0:1 --proposals 2", "--seeds 3:4 --proposals 1 --format json"),
    "calc adiabatic": ("--current 500 --time 0.4 --use separate_70 --size 2.5", "--current 1200 --time 0.1"),
    "calc cable-rating": (
        "--cable flat --line 6 --method 102 --rating 32 --ambient 35 --grouped 2",
        "--cable armoured-90 --line 10 --method D --phases 3 --ground 15 --soil 1.5",
        "--line 4 --insulation 200 --bunched yes --format json",
    ),
    "calc demand": ("--load luminaires=10 --load cooking=32 --fuse 80", "--load charger=32 --format json"),
    "calc drop": ("--line 2.5 --length 20 --current 20 --ring yes", "--line 6 --length 35 --current 32"),
    "calc electrode": ("--ra 120 --idn 30", "--ra 1666 --idn 30 --format json"),
    "calc maximum-zs": (
        "--curve B --rating 32",
        "--fuse 'BS 88-3' --rating 80 --time 5",
        "--curve C --rating 16 --u0 240",
    ),
    "calc measured-zs": ("--measured 0.9 --curve B --rating 32", "--measured 1.2 --fuse 'BS 3036' --rating 30"),
    "calc open-pen": ("--l1 10 --l2 5 --l3 0", "--l1=-16 --l2 20 --l3 3 --format json", "--l1 5 --l2 5 --l3 5"),
    "calc r1r2": (_CABLE, f"{_CABLE} --ring yes", "--cable armoured-70 --line 10 --length 30 --phases 3 --format json"),
    "calc string-voltage": ("--modules 12 --uoc 49.5 --coefficient=-0.27 --coldest=-15 --maximum 600",),
    "calc zs": (f"--ze 0.35 {_CABLE} --curve B --rating 32", f"--ze 0.8 {_CABLE} --fuse 'BS 88-3' --rating 32"),
    "check": ("@house", "@house --format json", "@house --edition A2:2022", "@"),
    "db backup": ("out-1", "out-2", "out-3", "no/such/out"),
    "db check": ("", "--format json"),
    "db move": ("sqlite:///moved.sqlite3", "sqlite:///again.sqlite3", "postgresql://nobody@127.0.0.1:1/none"),
    "db restore": ("out-1", "@"),
    "flip": (
        "@house --places",
        "@house --vary circuits.charger.cable.length_m=5:60:20",
        "--seed 3 --places --format json",
        "--seed 5 --level 2 --vary supply.external_earth_fault_loop_impedance_ohm=0.1:2:0.5 --rule OC-03",
    ),
    "grade": (*(f"@task-{kind} @answer-{kind}" for kind in KINDS), "@task-choose @answer-choose --format json", "@ @"),
    "operator": (
        "ann",
        "ann --lost-device",
        "college-lecturer --lost-device",
        "ann --called Ann --address https://trainer.example.org",
    ),
    "privacy copy": ("college-learner", "college-learner --out copied", "--member college bob"),
    "privacy erase": ("college-learner", "bob --everywhere", "bob --everywhere --apply"),
    "privacy times": ("", "--set attempts=400", "--set sessions=30 --organisation college"),
    "programmes remind": ("--address https://trainer.example.org", "--format json"),
    "regrade": ("", "--format json", "--apply --reason because"),
    "rules": ("RCD-01", "--search electrode", "--not-covered", "rcd-07 --format json --edition A2:2022"),
    "scenario": (
        "--seed 1 --kind question",
        "--seed 7 --kind inspect --level 1 --with-key --format json",
        "--seed 2 --kind measure",
        "--seed 4 --objective LO05 --kind question",
        "--seed 9 --archetype terraced_house",
    ),
    "sittings close": ("", "--format json"),
    "solve": (*(f"@task-{kind}" for kind in KINDS), "@task-choose --format json", "@"),
    "waveform": (
        "resistive --fault line",
        "phase_angle --set fault_resistance_ohm=500 --rating 30 --selective",
        "resistive --standing-dc 4 --format json",
    ),
}
