//! Steps of the field checklist that a club writes in a pack: where they stand, what they leave out, and what is reported
//! of them at their own bytes.

use super::{Bench, DUAL, swap};

const CLUB: &str = "\
pack: our_field
about: What our members do besides.
limits:
  long_cord: {is: 20 ft, doc: A cord that tangles, source: {club: the field}}
checklist:
  cords-shown:
    moment: at the table
    for: harness
    when: harness.length >= long_cord
    do: Show {harness}[ of {harness.length}][ with its {harness.links}][ in its {harness.protected_by}|, which lies bare].
    why: Long cords tangle.
  cords-laid:
    moment: at the table
    for: harness
    when: harness.length >= long_cord
    right_after: cords-shown
    do: Lay {harness} in {\"[\"}bights{\"]\"}.
    why: They run out one after the other.
  tags-off:
    moment: at the pad
    for: switch
    order: switch.turn
    backwards: true
    numbered: true
    do: Take the tag off {switch}.
    why: The tags are counted.
";

fn listed(bench: &Bench, design: &str, pack: &str) -> String {
    bench.write("a.rocket.yaml", design);
    bench.write("club.yaml", pack);
    bench.run(&["trial", "club.yaml"]).code(0);
    bench.run(&["checklist", "a.rocket.yaml", "--rules", "club.yaml"]).code(0).out.clone()
}

#[test]
fn a_club_adds_steps_that_say_what_the_design_has() {
    let bench = Bench::new();
    let design = swap(DUAL, "aft_cord: {length:", "aft_cord: {protected_by: sleeve, length:");
    let list = listed(&bench, &design, CLUB);
    let at = |words: &str| list.find(words).unwrap_or_else(|| panic!("{words}: {list}"));
    // Part by part, and what is not written is left out or said otherwise.
    let steps = [
        "Show aft_cord of ",
        "Lay aft_cord in [bights].",
        "Show fore_cord of ",
        "Lay fore_cord in [bights].",
    ];
    assert!(steps.map(at).is_sorted());
    assert!(list.contains(" in its sleeve.") && list.contains(", which lies bare."), "{list}");
    assert!(!list.contains("(not given)"));
    // The other way round, numbered, and before the steps that are built in.
    assert!(at("1. Take the tag off arm_b.") < at("2. Take the tag off arm_a."));
    assert!(at("── at the pad") < at("1. Take the tag"));
    assert!(at("2. Take the tag") < at("1. Arm primary"));
    assert!(at("1. Arm primary") < at("Last of all, put the motor's igniter in"));
}

#[test]
fn altimeters_without_a_turn_come_last_and_one_alone_has_no_number() {
    let bench = Bench::new();
    let list = listed(&bench, &swap(DUAL, ", turn: 1", ""), CLUB);
    let at = |words: &str| list.find(words).unwrap_or_else(|| panic!("{words}: {list}"));
    assert!(at("1. Arm backup") < at("2. Arm primary"));
    let one = swap(CLUB, "    order: switch.turn\n", "    order: switch.turn\n    when: switch.turn > 1\n");
    let list = listed(&bench, DUAL, &one);
    assert!(list.contains("[ ] Take the tag off arm_b."), "{list}");
}

/// Each change of the club's pack with what is reported of it, and where.
const WRONG: &[(&str, &str, &str, &str)] = &[
    ("{harness.length}", "{harness.lenght}", "club.yaml:10:37", "did you mean `length`?"),
    ("for: switch", "for: swich", "club.yaml:21:10", "did you mean `switch`?"),
    ("switch.turn", "switch.kind", "club.yaml:22:12", "a turn is a quantity"),
    ("{switch}.", "[this one].", "club.yaml:25:26", "nothing in them can be missing"),
    ("{switch}.", "[{switch}.", "club.yaml:25:26", "this bracket is never closed"),
    ("{switch}.", "{switch}].", "club.yaml:25:34", "this bracket closes nothing"),
    ("{switch}.", "{switch, and}.", "club.yaml:25:27", "joins the members of a collection"),
    ("right_after: cords-shown", "right_after: cord-shown", "club.yaml:16:18", "did you mean `cords-shown`?"),
    (
        "right_after: cords-shown",
        "right_after: cords-shown\n    order: harness.length",
        "club.yaml:16:18",
        "in the order that",
    ),
    ("backwards: true", "right_after: cords-laid", "club.yaml:23:18", "is about another type of part"),
    (
        "why: The tags",
        "when: switch.turn < 0\n    why: The tags",
        "club.yaml:26:11",
        "this never comes out true",
    ),
    ("moment: at the pad", "moment: at the pond", "club.yaml:20:13", "did you mean `at the pad`?"),
];

#[test]
fn a_step_that_is_wrong_is_reported_at_its_bytes() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    for (from, to, place, words) in WRONG {
        bench.write("club.yaml", swap(CLUB, from, to));
        bench.run(&["trial", "club.yaml"]).code(2).has(place).has(words);
        let run = bench.run(&["checklist", "a.rocket.yaml", "--rules", "club.yaml"]);
        run.code(2).has(words);
        // The steps that are built in stand all the same.
        assert!(run.out.contains("Last of all, put the motor's igniter in"), "{run:?}");
    }
}

#[test]
fn a_limit_that_only_a_step_reads_is_in_use() {
    let bench = Bench::new();
    bench.write("club.yaml", CLUB);
    let run = bench.run(&["trial", "club.yaml"]);
    run.code(0);
    assert!(!run.all().contains("nothing compares with"), "{run:?}");
    bench.write("club.yaml", CLUB.replace(" >= long_cord", " >= 20 ft"));
    bench.run(&["trial", "club.yaml"]).code(0).has("nothing compares with the limit `long_cord`");
}

#[test]
fn a_connector_that_is_none_is_not_joined() {
    let bench = Bench::new();
    let text =
        std::fs::read_to_string(format!("{}/examples/marsh-harrier.rocket.yaml", env!("CARGO_MANIFEST_DIR")))
            .unwrap();
    let half = "connector: {family: latched_housing, contacts: 2, altimeter_half: socket}";
    assert!(text.contains(half));
    bench.write("a.rocket.yaml", text.replace(half, "connector: none"));
    let run = bench.run(&["checklist", "a.rocket.yaml"]);
    run.code(0).has("Join drogue_1 from one").has("Join the connector latched_housing of drogue_2");
    assert!(!run.out.contains("latched_housing of drogue_1"), "{}", run.out);
}
