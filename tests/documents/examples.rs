//! The examples of `rules/README.md` are run, and excerpts of files are what stands in them.

use holdpoint::design::Design;
use holdpoint::language::{Scope, check, evaluate, parse, value_text};
use holdpoint::model::Model;
use holdpoint::review::{ChecklistStep, remedy_problems, steps, trial_remedies};
use holdpoint::rules::{Library, TRIAL_DAY, Verdict, run_trials, specimens};
use holdpoint::tables::Tables;
use holdpoint::vocabulary::EntityId;
use holdpoint::yaml::Source;

use crate::{blocks, documents, file};

fn specimen() -> Design {
    let (_, text) = specimens().iter().find(|(name, _)| *name == "dual_deployment").unwrap();
    let design = Design::read(Source::new("specimen", *text), Tables::built_in());
    assert_eq!(design.problems, []);
    design
}

/// The thing a block is about: the rocket, or what `expr PATH` names.
fn subject(design: &Design, info: &str) -> EntityId {
    let Some(path) = info.strip_prefix("expr ") else { return design.store.root() };
    let fits = |id: &EntityId| design.store.path(*id) == path;
    design.store.all().map(|(id, _)| id).find(fits).unwrap_or_else(|| panic!("the specimen has no {path}"))
}

/// What an expression comes to, in the words of the document.
fn result(expression: &str, library: &Library, model: &Model<'_>, subject: EntityId) -> String {
    let entity_type = model.entity(subject).unwrap().entity_type;
    let scope = Scope::about(&library.catalogue, entity_type);
    match parse(expression).and_then(|tree| check(&tree, &scope)) {
        Err(error) => format!("error: {} {}", error.message, error.help.unwrap_or_default()),
        Ok(checked) => match evaluate(&checked, model, None, subject).value {
            Ok(value) => value_text(model, &value),
            Err(gap) if !gap.keys().is_empty() => "missing".to_owned(),
            Err(gap) => format!("refused: {}", gap.refusals()[0].reason),
        },
    }
}

/// Results as printed must agree letter by letter; of errors and refusals the document quotes a part.
fn agrees(told: &str, found: &str) -> bool {
    for sort in ["error: ", "refused: "] {
        if let (Some(told), Some(found)) = (told.strip_prefix(sort), found.strip_prefix(sort)) {
            return !told.trim_matches('…').is_empty() && found.contains(told.trim_matches('…'));
        }
    }
    told == found
}

#[test]
fn expressions_come_to_what_the_document_says() {
    let (library, design) = (Library::built_in(), specimen());
    let model = Model::new(&design, library.environment(TRIAL_DAY));
    let (mut run, mut wrong) = (0, Vec::new());
    for block in blocks(&file("rules/README.md")) {
        if block.info != "expr" && !block.info.starts_with("expr ") {
            continue;
        }
        let subject = subject(&design, &block.info);
        for (at, line) in block.text.lines().enumerate().filter(|(_, l)| !l.trim().is_empty()) {
            let (expression, told) = line
                .split_once("=>")
                .unwrap_or_else(|| panic!("line {}: `EXPRESSION => RESULT` is due", block.line + at));
            let found = result(expression.trim(), &library, &model, subject);
            run += 1;
            if !agrees(told.trim(), &found) {
                wrong.push(format!("line {}: {} => {found}", block.line + at, expression.trim()));
            }
        }
    }
    assert!(wrong.is_empty(), "rules/README.md says otherwise:\n{}", wrong.join("\n"));
    assert!(run > 50, "{run}");
}

#[test]
fn packs_load_and_their_trials_come_out_as_expected() {
    let mut loaded = 0;
    for block in blocks(&file("rules/README.md")).iter().filter(|b| b.info == "yaml") {
        let library = Library::load(vec![Source::new("example.yaml", block.text.as_str())]);
        let problems: Vec<&str> = library.problems.iter().map(|(_, p)| p.message.as_str()).collect();
        assert!(problems.is_empty(), "the pack on line {}: {problems:?}", block.line);
        for rule in library.rules.iter().filter(|r| r.source.name() == "example.yaml") {
            for expected in [Verdict::Broken, Verdict::Held, Verdict::Unproven] {
                let tried = rule.trials().iter().any(|t| t.expect == expected);
                assert!(tried, "{}: no trial comes out {}", rule.name, expected.name());
            }
        }
        for trial in run_trials(&library, &|rule| rule.source.name() == "example.yaml") {
            assert!(trial.as_expected, "{}: {:?}", library.rules[trial.rule].name, trial.outcome);
        }
        let remedies = trial_remedies(&library, &|rule| rule.source.name() == "example.yaml");
        let wrong: Vec<_> =
            remedy_problems(&library, &remedies).into_iter().map(|(_, p)| p.message).collect();
        assert!(wrong.is_empty(), "the remedies of the pack on line {}: {wrong:?}", block.line);
        loaded += 1;
    }
    assert!(loaded >= 2, "{loaded}");
}

/// A `steps` block is what the checklist of the pack above it says of the specimen.
#[test]
fn steps_come_out_as_the_document_says() {
    let design = specimen();
    let all = blocks(&file("rules/README.md"));
    let mut found = 0;
    for (pack, block) in all.iter().zip(all.iter().skip(1)).filter(|(_, block)| block.info == "steps") {
        let library = Library::load(vec![Source::new("example.yaml", pack.text.as_str())]);
        let model = Model::new(&design, library.environment(TRIAL_DAY));
        let line = |step: &ChecklistStep| format!("{}: {}\n", step.group, step.text);
        let built_in: Vec<String> = steps(&model, &Library::built_in(), &[]).iter().map(line).collect();
        let with_pack = steps(&model, &library, &[]).iter().map(line).collect::<Vec<_>>();
        let added: String = with_pack.into_iter().filter(|step| !built_in.contains(step)).collect();
        assert_eq!(added, block.text, "line {}", block.line);
        found += 1;
    }
    assert!(found > 0);
}

/// A block whose fence names a file, as in `yaml rules/venting.yaml`, is an excerpt of it.
#[test]
fn excerpts_stand_in_their_files() {
    let mut found = 0;
    for document in documents() {
        for block in blocks(&file(&document)) {
            let Some((_, path)) = block.info.split_once(' ').filter(|(_, path)| path.contains('/')) else {
                continue;
            };
            assert!(file(path).contains(&block.text), "{document}, line {}: not in {path}", block.line);
            found += 1;
        }
    }
    assert!(found > 0);
}
