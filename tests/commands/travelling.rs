//! Packs that go from club to club: what they say of themselves, the page of one, digests, a starter.

use serde_json::Value as Json;

use super::packs::PACK;
use super::{Bench, DUAL, swap};

/// The pack with words about itself.
fn with_card(needs: &str) -> String {
    let card = format!(
        "version: \"3\"\nneeds: {needs}\nlink: https://example.org/club_rules\nlicence: CC0-1.0\ncontact: the range officer\n"
    );
    swap(PACK, "about: Rules of a club.\n", &format!("about: Rules of a club.\n{card}"))
}

#[test]
fn what_a_pack_says_of_itself_is_shown() {
    let bench = Bench::new();
    bench.write("club.yaml", with_card("holdpoint >= 0.1"));
    let shown = "pack club\n  version  3\n  needs    holdpoint >= 0.1\n  link     https://example.org/club_rules\n  licence  CC0-1.0\n  contact  the range officer\n";
    bench.run(&["rules", "--rules", "club.yaml"]).code(0).has(shown);
    let page = bench.run(&["rules", "--rules", "club.yaml", "--markdown"]);
    page.code(0).has("- **club**: Rules of a club.\n  version: 3;\n").has("contact: the range officer;\n");
    let document = bench.run(&["rules", "--rules", "club.yaml", "--format", "json"]).code(0).json();
    let packs = document["packs"].as_array().unwrap();
    let club = packs.iter().find(|pack| pack["pack"] == "club").unwrap();
    assert_eq!((&club["version"], &club["licence"]), (&"3".into(), &"CC0-1.0".into()));
    assert_eq!(packs[0]["version"], Json::Null);
}

#[test]
fn a_pack_for_a_later_program_is_one_clear_mistake() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    // What this program does not know may be right for the later one.
    let text = swap(&with_card("holdpoint >= 9.2"), "    why:", "    whenever: soon\n    why:");
    bench.write("club.yaml", &text);
    let arguments = ["review", "a.rocket.yaml", "--rules", "club.yaml", "--format", "json"];
    let document = bench.run(&arguments).code(2).json();
    let problems = document["problems"].as_array().unwrap();
    assert_eq!(problems.len(), 1, "{problems:?}");
    let message = problems[0]["message"].as_str().unwrap();
    assert!(message.starts_with("this pack needs holdpoint 9.2, and this is holdpoint 0."), "{message}");
    let place = &problems[0]["place"];
    let range = place["start_byte"].as_u64().unwrap() as usize..place["end_byte"].as_u64().unwrap() as usize;
    assert_eq!(text.get(range), Some("holdpoint >= 9.2"));
    bench.write("club.yaml", with_card("the newest"));
    let problem = bench.run(&arguments).code(2).json()["problems"][0].clone();
    assert_eq!(problem["message"], "`the newest` names no least version of the program");
    assert_eq!(problem["help"], "write it as in `needs: holdpoint >= 0.1`");
}

const DERIVED: &str = "\
derived:
  spare_rail:
    of: flight
    is: flight.rail - 2 * rocket.calibre
    doc: What is left of the rail.
    source: {club: a note of ours}
limits:
  least_rail: {is: 100 in, doc: Our shortest rail., source: {club: field rules, clause: \"2\"}}
asks:
  gate-shut:
    ask: The gate is shut.
    moment: at the pad
    source: {club: field rules, clause: \"7\"}
";

#[test]
fn a_page_of_one_pack_has_all_that_stands_in_it() {
    let bench = Bench::new();
    let text = with_card("holdpoint >= 0.1") + DERIVED;
    let text = swap(&text, "rocket.flight.rail >= 100 in\n", "rocket.flight.spare_rail >= least_rail\n");
    bench.write("club.yaml", text);
    let page = bench.run(&["rules", "--rules", "club.yaml", "--markdown", "--pack", "club"]);
    page.code(0)
        .has("# club\n\nRules of a club.\n\n- version: 3\n")
        .has("- link: https://example.org/club\\_rules\n")
        .has("- judged: of every rocket\n")
        .has("## Before flight\n\n### rail-in-club\n")
        .has("- limits: `least_rail` is 100 in\n")
        .has("### flight.spare\\_rail\n\nWhat is left of the rail.\n\n- is: `flight.rail - 2 * rocket.calibre`\n- gives: a length\n- source: club: a note of ours\n")
        .has("| `least_rail` | 100 in | Our shortest rail. | club: field rules, clause 2 |\n")
        .has("- at the pad: The gate is shut. (club: field rules, clause 7)\n")
        .has("## Sources\n\n- club: field rules: `rail-in-club`\n");
    assert!(!page.out.contains("rail-long"), "{}", page.out);
    let list = bench.run(&["rules", "--rules", "club.yaml", "--pack", "club"]);
    list.code(0).has("rail-in-club").has("1 rule in pack club");
    assert!(!list.out.contains("waiver-expired"));
    let document = bench.run(&["rules", "--rules", "club.yaml", "--pack", "club", "--format", "json"]).json();
    assert_eq!(document["rules"].as_array().unwrap().len(), 1);
    bench.run(&["rules", "--pack", "ventnig"]).code(2).has("did you mean `venting`?");
}

#[test]
fn a_pack_that_is_held_to_its_digest_cannot_change_unseen() {
    let bench = Bench::new();
    bench.write("packs/club.yaml", PACK);
    bench.write("a.rocket.yaml", DUAL);
    for path in ["packs/club.yaml", "packs"] {
        bench.write("packs/club.yaml", PACK);
        let reported = bench.run(&["rules", "--digest", "--rules", path]).code(0).out.clone();
        let settings = format!("settings: 1\n{reported}");
        let digest = reported.split("sha256: ").nth(1).unwrap().split('}').next().unwrap().to_owned();
        assert_eq!(digest.len(), 64, "{reported}");
        bench.write("holdpoint.yaml", &settings);
        let arguments = ["review", "a.rocket.yaml", "--format", "concise"];
        bench.run(&arguments).code(1).has("error[rail-in-club]");
        bench
            .run(&["review", "--show-settings", "a.rocket.yaml"])
            .code(0)
            .has(&format!("pack {path} (holdpoint.yaml, line 3; held to its digest {digest})"));
        // A comment more is another pack, and each command says so at the place of the digest.
        bench.write("packs/club.yaml", format!("{PACK}# more\n"));
        let column = settings.lines().nth(2).unwrap().find(&digest).unwrap() + 1;
        bench
            .run(&arguments)
            .code(2)
            .has(&format!("holdpoint.yaml:3:{column}: error[unreadable] `{path}` is not as it was"))
            .has("error[rail-in-club]");
        bench.run(&["checklist", "a.rocket.yaml"]).code(2).has("is not as it was when this was written");
        bench.write("holdpoint.yaml", settings.replace(&digest, "0123"));
        bench.run(&arguments).code(2).has("a SHA-256 is 64 hexadecimal digits");
    }
    // A file more in the folder, and a name changed, are seen too.
    bench.write("packs/club.yaml", PACK);
    let reported = bench.run(&["rules", "--digest", "--rules", "packs"]).out.clone();
    bench.write("holdpoint.yaml", format!("settings: 1\n{reported}"));
    bench.write("packs/more.yaml", "pack: more\nabout: Nothing yet.\n");
    bench.run(&["review", "a.rocket.yaml"]).code(2).has("is not as it was when this was written");
    std::fs::remove_file(bench.path().join("packs/more.yaml")).unwrap();
    std::fs::rename(bench.path().join("packs/club.yaml"), bench.path().join("packs/other.yaml")).unwrap();
    bench.run(&["review", "a.rocket.yaml"]).code(2).has("is not as it was when this was written");
    bench.run(&["rules", "--digest"]).code(2).has("--rules");
}

#[test]
fn a_starter_of_a_pack_passes_its_trials_as_written() {
    let bench = Bench::new();
    bench.run(&["new", "our.yaml", "--pack", "our-club"]).code(0).has("holdpoint trial our.yaml");
    bench
        .run(&["trial", "our.yaml", "--coverage"])
        .code(0)
        .has("3 as expected, 0 not; 0 rules lack a trial")
        .has("100.0 %");
    bench.write("a.rocket.yaml", DUAL);
    bench.run(&["review", "a.rocket.yaml", "--rules", "our.yaml"]).code(0);
    bench.run(&["new", "our.yaml", "--pack", "our-club"]).code(2).has("exists");
    bench.run(&["new", "-", "--pack", "other"]).code(0).has("pack: other\n").has("  other-rail-long-enough:");
    for (file, name) in
        [("our.rocket.yaml", "our-club"), ("our.txt", "our-club"), ("x.yaml", "Our club"), ("x.yaml", "")]
    {
        bench.run(&["new", file, "--pack", name]).code(2);
        assert!(!bench.path().join(file).exists(), "{file}");
    }
}

#[test]
fn a_rule_that_is_built_in_is_left_to_the_settings() {
    let bench = Bench::new();
    let restated = "\
pack: ours
about: A rule that stands already.
limits:
  gentle: {is: 25 ft/s, source: {club: us}}
rules:
  ours-gentle:
    title: The rocket lands gently
    before: flight
    for: rocket
    require: rocket.landing_speed <= gentle
    level: error
    finding: too fast
    why: Stones.
    source: {club: us}
    trials:
      - {with: {recovery.parachutes.main.diameter: 30 in}, expect: broken}
      - {expect: held}
      - {without: recovery.parachutes.main.diameter, expect: unproven}
";
    bench.write("ours.yaml", restated);
    let library = holdpoint::rules::Library::built_in();
    let built_in = library.rules.iter().find(|r| r.name == "landing-gentle").unwrap();
    let (name, pack) = (&built_in.name, &built_in.pack);
    let run = bench.run(&["trial", "ours.yaml"]);
    // However its lines are broken.
    let bare = |text: &str| text.chars().filter(|c| !c.is_whitespace() && *c != '│').collect::<String>();
    let words = bare(&run.code(1).all());
    for expected in [
        format!("asks the same as `{name}` of pack `{pack}`"),
        format!("under `levels`: {{rule: {name}, level: error, reason: …}}"),
        "not at all under `switched_off`".to_owned(),
        format!("under `limits`: {{pack: {pack}, limit: usual_landing, is: …, reason: …}}"),
    ] {
        assert!(words.contains(&bare(&expected)), "{expected}\n{}", run.all());
    }
    // What the message says can be done.
    bench.write("a.rocket.yaml", DUAL);
    bench.write(
        "holdpoint.yaml",
        format!(
            "settings: 1\nlevels: [{{rule: {name}, level: error, reason: stones}}]\nlimits: [{{pack: {pack}, limit: usual_landing, is: 3 ft/s, reason: stones}}]\n"
        ),
    );
    bench.run(&["review", "a.rocket.yaml", "--format", "concise"]).code(1).has(&format!("error[{name}]"));
}
