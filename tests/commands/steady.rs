//! What is printed hangs on the texts and the day alone: not on the folder, the order in which files were made, the time zone, the
//! language of the system, the home folder, the programs on the path, or the number of threads.
#![cfg(target_os = "linux")]

use super::{Bench, DUAL, MOTOR, Run, streaming, swap};

/// Surroundings of a run: environment variables.
type Surroundings = &'static [(&'static str, &'static str)];

const SURROUNDINGS: [Surroundings; 5] = [
    &[("LC_ALL", "tr_TR.UTF-8"), ("LANG", "de_DE.ISO-8859-1"), ("LANGUAGE", "ar")],
    &[
        ("HOME", "/not/there"),
        ("XDG_CACHE_HOME", "/not/there"),
        ("XDG_CONFIG_HOME", "/proc"),
        ("TMPDIR", "/not/there"),
    ],
    &[("PATH", ""), ("HOME", ""), ("USER", ""), ("SHELL", ""), ("TERM", "")],
    &[("RAYON_NUM_THREADS", "1"), ("TERM", "xterm-256color"), ("COLORTERM", "truecolor")],
    &[("RAYON_NUM_THREADS", "8"), ("TERM", "dumb"), ("EDITOR", "false"), ("PAGER", "false")],
];

/// The same files in a new folder, made in one order or the other.
fn bench(is_reversed: bool) -> Bench {
    let bench = Bench::new();
    let wrong = swap(DUAL, "rail: 96 in", "rail: 48 in");
    let mut files = vec![
        ("a.rocket.yaml", DUAL),
        ("b.rocket.yaml", wrong.as_str()),
        ("p.yaml", "pack: ours\nabout: Ours.\nrules: {}\n"),
        ("more/z.rocket.yaml", MOTOR),
        ("more/A.rocket.yaml", wrong.as_str()),
        ("more/é.rocket.yaml", "holdpoint: 1\nname: [\n"),
        ("more/10.rocket.yaml", DUAL),
    ];
    if is_reversed {
        files.reverse();
    }
    for (name, text) in files {
        bench.write(name, text);
    }
    bench
}

#[test]
fn a_review_hangs_on_the_texts_and_the_day_alone() {
    for form in bench(false).words(&["review", "--format"]) {
        let arguments = ["review", ".", "--today", "2026-06-01", "--format", &form];
        let first = bench(false).run(&arguments);
        assert!(first.out.len() > 2000, "{form}: {first:?}");
        for (zone, surroundings) in
            ["Pacific/Kiritimati", "UTC+12", "not/a/zone", "", "Asia/Kolkata"].iter().zip(SURROUNDINGS)
        {
            let surroundings = [surroundings, &[("TZ", zone)]].concat();
            assert!(
                first == bench(true).run_with(&arguments, None, &surroundings),
                "{form}, {surroundings:?}"
            );
        }
    }
}

#[test]
fn every_command_prints_the_same_in_other_surroundings() {
    // A watch goes on; what a file becomes is told with its folder, which is another one each time.
    for arguments in streaming::runs().into_iter().filter(|arguments| arguments[0] != "watch") {
        let run = |is_reversed, surroundings| -> Run {
            bench(is_reversed).run_with(&arguments, None, surroundings)
        };
        let first = run(false, &[]);
        for surroundings in SURROUNDINGS {
            assert_eq!(first, run(true, surroundings), "{arguments:?}, {surroundings:?}");
        }
    }
}
