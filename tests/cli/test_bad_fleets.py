"""Fleets that cannot be forecast as they stand: one clear line each, and the rest goes on."""

import json

import pytest
from click.testing import CliRunner

from chemcheck.cli.main import main

HEADER = "Unit ID,Date Sampled,Hours,Material,Technology,Nitrite NO2 (mg/L),Iron (mg/L)\n"
HEAVY, NITRITED = "heavy duty with supplemental additive", "nitrited organic acid"
MONTHS = (("2031-01-01", 0), ("2031-02-01", 310), ("2031-03-01", 590), ("2031-04-01", 900))


def lines(unit, places, technology=HEAVY, nitrite=None, iron="0.5"):
    """Return a unit's rows: nitrite falls by 0.5 mg/L an hour from 1800, unless told."""
    return [
        f"{unit},{day},{hours},coolant,{technology},"
        f"{nitrite or 1800 - 5 * k * 31 + (k * 7) % 5},{iron}"
        for k, (day, hours) in enumerate(places)
    ]


GOOD = [row for k in range(4) for row in lines(f"U{k}", MONTHS)]


@pytest.fixture
def run(tmp_path):
    """Return a function that runs a command on rows, and the words of its answer on one line."""

    def call(rows, *options, log=None, command="forecast"):
        path = tmp_path / "fleet.csv"
        path.write_text(HEADER + "\n".join(rows) + "\n")
        arguments = [command, str(path), *options]
        if log is not None:
            (tmp_path / "log.csv").write_text("unit_id,date,hours,event\n" + log)
            arguments += ["--events", str(tmp_path / "log.csv")]
        done = CliRunner().invoke(main, arguments)
        assert "Traceback" not in done.output
        return done, " ".join(done.stdout.split()).replace("\u2011", "-")

    return call


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        (GOOD[:1], "no fill was sampled twice apart in hours; a rate takes two samples"),
        (
            [row for k in range(5) for row in lines(f"V{k}", [("2031-01-01", 300 * k)])],
            "no fill was sampled twice apart in hours; a rate takes two samples",
        ),
        (
            [row for k in range(4) for row in lines(f"U{k}", MONTHS, nitrite="<10", iron="<0.5")],
            "nothing but non-detects or one strip pad: they tell no rate",
        ),
    ],
    ids=["one sample in all", "all one date", "all non-detects"],
)
def test_nothing_to_forecast_is_one_line(run, rows, says):
    done, _ = run(rows)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.startswith("error: nothing can be forecast: ")
    assert says in done.stderr
    assert done.stderr.count("\n") == 1


RESET = [("2031-01-01", 5000), ("2031-02-01", 5310), ("2031-03-01", 280), ("2031-04-01", 590)]


def test_an_unlogged_meter_reset_leaves_out_its_unit_and_says_what_settles_it(run):
    done, words = run([*GOOD, *lines("R", RESET)])
    assert done.exit_code == 0
    assert (
        "its meter falls to 280 h on 2031-03-01 and goes on from there: left out until a log of "
        "events says meter reset, or the readings are mended: unit R"
    ) in words
    assert "4 units:" in words


def test_a_logged_meter_reset_goes_on_counting(run):
    done, words = run([*GOOD, *lines("R", RESET)], log="R,2031-02-01,0,meter reset\n")
    assert done.exit_code == 0
    assert "meter falls" not in words
    assert "5 units:" in words
    # 310 h before the reset and 590 after it make 900 h, as of every other unit: one line for all.
    places = [line for line in done.stdout.splitlines() if "nitrite below 800" in line]
    assert len(places) == 5
    medians = [int(line.split(" - ")[1]) for line in places]
    assert max(medians) - min(medians) < 0.03 * min(medians)


def test_one_reading_of_a_meter_that_runs_backwards_is_left_out_alone(run):
    slip = [("2031-01-01", 0), ("2031-02-01", 310), ("2031-03-01", 59), ("2031-04-01", 900)]
    done, words = run([*GOOD, *lines("S", slip)])
    assert done.exit_code == 0
    assert (
        "its hours of 59 h contradict the 310 h of 2031-02-01: left out; mend the reading, or log "
        "a meter reset: unit S, sample of 2031-03-01 (row 20)"
    ) in words
    assert "5 units:" in words


def monthly(wrong, text):
    """Return a unit's nine samples at 10 h a day, one of them with a wrong date."""
    places = [(f"2031-{m:02d}-05", 300 * (m - 1)) for m in range(1, 10)]
    places[wrong] = (text, places[wrong][1])
    return places


def test_a_date_against_the_hours_is_not_reckoned_with(run):
    rows = [row for k in range(4) for row in lines(f"U{k}", monthly(0, "2031-01-05"))]
    done, words = run([*rows, *lines("D", monthly(8, "2032-09-05"))])
    assert done.exit_code == 0
    assert "unit D, sample of 2032-09-05 (row 46)" in words
    assert "its date disagrees with the unit's meter, which puts it about 2031-0" in words
    assert "with another year it is, 2031-09-05: its date is not used" in words


def test_a_group_of_one_stands_alone_and_says_so(run):
    done, words = run([*GOOD, *lines("Z", MONTHS, NITRITED, nitrite="480")])
    assert done.exit_code == 0
    assert (
        "one fill alone: its rates rest on its own samples, not on a fleet: "
        "technology nitrited_organic_acid"
    ) in words
    _, words = run([*GOOD, *lines("Z", MONTHS[:1], NITRITED, nitrite="480")])
    assert "too few readings for a trend: nitrite, technology nitrited_organic_acid" in words


@pytest.mark.parametrize("cost", ["0", "-5"])
@pytest.mark.parametrize("which", ["planned", "failure"])
def test_costs_of_nothing_are_refused_in_one_line(run, which, cost):
    costs = {"planned": "10", "failure": "900"} | {which: cost}
    options = [text for name, value in costs.items() for text in (f"--{name}-cost", value)]
    done, _ = run(GOOD, *options, "--delay", "500", command="interval")
    assert done.exit_code == 2
    assert done.stderr == f"error: {which} cost: {cost}: expected a finite number above 0\n"


@pytest.mark.parametrize(
    "rows", [GOOD[:1], [r for k in range(5) for r in lines(f"V{k}", [("2031-01-01", 9)])]]
)
def test_an_interval_of_fills_seen_once_is_refused_in_words(run, rows):
    done, words = run(rows, command="interval")
    assert done.exit_code == 0
    # Said in the first sentence, once, and again of the group.
    first = words.partition("group")[0]
    assert first.count("No interval can be told: every fill was seen at one place of its use") == 1
    assert "nothing was survived for any time: not even a bound can be given" in words
    assert "No interval can be told" not in run(GOOD, command="interval")[1]


def test_why_nothing_is_forecast_is_said_once_for_all_analytes(run):
    done, _ = run(GOOD[:2])
    assert done.stderr == (
        "error: nothing can be forecast: too few readings for a trend (nitrite, technology "
        "heavy_duty_additive; iron, technology heavy_duty_additive)\n"
    )


def test_a_forecast_names_the_reading_that_breaks_its_unit_s_pattern(run):
    rows = [row for k in range(4) for row in lines(f"U{k}", MONTHS)]
    rows[6] = rows[6].replace(",1494,", ",149.4,")  # the third sample of U1
    assert rows != GOOD
    done, words = run(rows)
    assert done.exit_code == 0
    assert "Unit U1, row 8, nitrite 149.4: about" in words
    assert "a decimal point in the wrong place?" in words
    assert "leave a sample out with --hold-out and its row" in words
    (asked,) = json.loads(run(rows, "--format", "json")[0].stdout)["odd_readings"]
    assert (asked["row"], asked["column"], asked["text"]) == (8, "nitrite", "149.4")
    assert "unlike their unit's history" not in run(GOOD)[1]
    # Left out, it is named no more than it is used.
    done, words = run(rows, "--hold-out", "8")
    assert "held out as asked: 1 sample" in words
    assert "149.4" not in words
