//! Expressions, made by the grammar out of the names that there are.

use std::sync::LazyLock;

use holdpoint::design::{CHARGE, Design, JOINT, PARACHUTE, ROCKET, SECTION};
use holdpoint::language::{Scope, Sentence, Template, check, evaluate, functions, parse};
use holdpoint::model::{Catalogue, Environment, Model, Named, Type, catalogue};
use holdpoint::quantity::UNITS;
use holdpoint::rules::TRIAL_DAY;
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{EntityType, Value};
use holdpoint::yaml::Source;

use super::choices::Choices;
use super::corpus::{DESIGNS, PACKS, changed, soup};
use super::driver::fuzz;

static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(catalogue);
static DUAL: LazyLock<Design> =
    LazyLock::new(|| Design::read(Source::new("t", DESIGNS[0].as_str()), Tables::built_in()));
static SUBJECTS: [&EntityType; 5] = [&ROCKET, &SECTION, &JOINT, &CHARGE, &PARACHUTE];

/// Whatever the built-in packs ask, as texts.
static CONDITIONS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let lines = PACKS.iter().flat_map(|pack| pack.lines());
    let found =
        lines.filter_map(|line| line.trim().strip_prefix("require: ").or(line.trim().strip_prefix("when: ")));
    found.map(str::to_owned).collect()
});

struct Maker<'c, 'd> {
    choices: &'c mut Choices<'d>,
    subject: &'static EntityType,
    bound: Vec<(String, &'static EntityType)>,
}

impl Maker<'_, '_> {
    fn number(&mut self) -> String {
        let unit = self.choices.member(UNITS).name;
        let number = self.choices.one_of(&["0", "1", "2.5", "1/4", "1e15", "1e-30", "96", "360"]);
        match self.choices.below(3) {
            0 => number.to_owned(),
            _ => format!("{number} {unit}"),
        }
    }

    /// A path from a name that there is along names that there are, mostly.
    fn path(&mut self) -> (String, Option<Type>) {
        let (mut text, mut of) = match self.choices.below(3) {
            0 => ("rocket".to_owned(), Some(&ROCKET)),
            1 if !self.bound.is_empty() => {
                let (name, of) = self.choices.member(&self.bound).clone();
                (name, Some(of))
            }
            _ => (self.subject.name.to_owned(), Some(self.subject)),
        };
        let mut last = of.map(Type::Entity);
        for _ in 0..=self.choices.below(4) {
            let Some(entity_type) = of else { break };
            let names = CATALOGUE.names(entity_type);
            if names.is_empty() {
                break;
            }
            let name = self.choices.member(&names);
            text.push_str(&format!(".{name}"));
            last = CATALOGUE.named(entity_type, name).map(|named| match named {
                Named::Field(_, field) => Type::of(&field.shape),
                Named::Computed(_, gives) => gives,
                Named::Holder(of) => Type::Entity(of),
            });
            of = match last {
                Some(Type::Entity(of)) => Some(of),
                _ => None,
            };
        }
        (text, last)
    }

    /// A path to several entities, mostly.
    fn several(&mut self) -> (String, &'static EntityType) {
        for _ in 0..6 {
            if let (text, Some(Type::Entities(of))) = self.path() {
                return (text, of);
            }
        }
        let of = *self.choices.member(CATALOGUE.entity_types());
        (format!("all {}", of.name), of)
    }

    fn within(
        &mut self,
        of: &'static EntityType,
        depth: usize,
        make: fn(&mut Self, usize) -> String,
    ) -> (String, String) {
        let name = format!("x{}", self.bound.len());
        self.bound.push((name.clone(), of));
        let made = make(self, depth);
        self.bound.pop();
        (name, made)
    }

    fn value(&mut self, depth: usize) -> String {
        if depth == 0 {
            return if self.choices.once_in(2) { self.number() } else { self.path().0 };
        }
        let less = depth - 1;
        match self.choices.below(12) {
            0 => self.number(),
            1 => format!(
                "{} {} {}",
                self.value(less),
                self.choices.one_of(&["+", "-", "*", "/"]),
                self.value(less)
            ),
            2 => format!("({})", self.value(less)),
            3 => format!("-{}", self.value(less)),
            4 => format!("{}^{}", self.value(less), self.choices.one_of(&["2", "-1", "3", "0", "99"])),
            5 => format!("{} or else {}", self.value(less), self.value(less)),
            6 => format!("(if {} then {} else {})", self.truth(less), self.value(less), self.value(less)),
            7 => {
                let all: Vec<_> = functions().collect();
                let function = *self.choices.member(&all);
                let given: Vec<String> = function.parameters.iter().map(|_| self.value(less)).collect();
                format!("{}({})", function.name, given.join(", "))
            }
            8 => {
                let (several, of) = self.several();
                let (name, value) = self.within(of, less, Self::value);
                let fold = self.choices.one_of(&["sum", "least", "greatest", "mean", "middle"]);
                format!("({fold} of {value} over {name} of {several})")
            }
            9 => format!("(count of {})", self.several().0),
            10 => format!("{} with {} = {}", self.path().0, self.path().0, self.value(less)),
            _ => self.path().0,
        }
    }

    fn truth(&mut self, depth: usize) -> String {
        if depth == 0 {
            return self.choices.one_of(&["true", "false", "rocket has fins"]).to_owned();
        }
        let less = depth - 1;
        match self.choices.below(10) {
            0 => format!("{} and {}", self.truth(less), self.truth(less)),
            1 => format!("{} or {}", self.truth(less), self.truth(less)),
            2 => format!("not {}", self.truth(less)),
            3 => {
                let (several, of) = self.several();
                let (name, truth) = self.within(of, less, Self::truth);
                let every = self.choices.one_of(&["every", "some", "no"]);
                format!("({every} {name} of {several} has {truth})")
            }
            4 => format!("{} is {}given", self.path().0, self.choices.one_of(&["", "not "])),
            5 => match self.path() {
                (path, Some(Type::Word(words))) => format!("{path} is \"{}\"", self.choices.one_of(words)),
                (path, _) => path,
            },
            6 => format!("({})", self.truth(less)),
            7 => format!(
                "{} comes {} {}",
                self.path().0,
                self.choices.one_of(&["before", "after"]),
                self.path().0
            ),
            8 => format!(
                "{} matches /{}/",
                self.path().0,
                self.choices.one_of(&["^a", "(", "a{99}", ".*", "[x", "(a|b)*$"])
            ),
            _ => {
                let order = self.choices.one_of(&["<", "<=", "=", ">=", ">", "!="]);
                format!("{} {order} {}", self.value(less), self.value(less))
            }
        }
    }
}

fn expression(choices: &mut Choices<'_>, subject: &'static EntityType) -> String {
    match choices.below(8) {
        0 => soup(choices),
        1 | 2 => {
            let text = choices.member(&CONDITIONS).clone();
            changed(&text, &CONDITIONS, choices)
        }
        3 | 4 => Maker { choices, subject, bound: Vec::new() }.value(3),
        _ => Maker { choices, subject, bound: Vec::new() }.truth(4),
    }
}

#[test]
fn an_expression_is_refused_at_a_place_or_gives_a_value_of_its_type() {
    fuzz("language", 12, 90, |choices| {
        let subject = *choices.member(&SUBJECTS);
        let text = expression(choices, subject);
        let scope = Scope::about(&CATALOGUE, subject);
        let checked = match parse(&text).and_then(|tree| check(&tree, &scope)) {
            Ok(checked) => checked,
            Err(error) => {
                assert!(text.get(error.range.clone()).is_some(), "{text:?}: {error:?}");
                return;
            }
        };
        let again = check(&parse(&text).unwrap(), &scope).unwrap();
        assert_eq!(checked.normalized(), again.normalized(), "{text:?}");
        let environment =
            || Environment { catalogue: &CATALOGUE, tables: Tables::built_in(), today: TRIAL_DAY };
        let model = Model::new(&DUAL, environment());
        let subjects: Vec<_> = DUAL.store.of_type(subject).chain([DUAL.store.root()]).take(2).collect();
        for id in
            subjects.into_iter().filter(|id| DUAL.store.get(*id).is_some_and(|e| e.entity_type == subject))
        {
            let evaluation = evaluate(&checked, &model, None, id);
            let other = evaluate(&checked, &Model::new(&DUAL, environment()), None, id);
            match (&evaluation.value, &other.value) {
                (Ok(Value::Quantity(a)), Ok(Value::Quantity(b))) => {
                    assert!(a.si.is_finite() && a.si == b.si, "{text:?}: {a:?}, {b:?}");
                    assert!(
                        matches!(checked.gives, Type::Quantity(due) if due == a.dimension),
                        "{text:?}: {a:?}"
                    );
                }
                (a, b) => assert_eq!(a.is_ok(), b.is_ok(), "{text:?}"),
            }
        }
    });
}

#[test]
fn what_is_said_is_refused_at_a_place_or_filled_in() {
    fuzz("sentences", 8, 60, |choices| {
        let subject = *choices.member(&SUBJECTS);
        let piece = |choices: &mut Choices<'_>| {
            let inside = Maker { choices: &mut *choices, subject, bound: Vec::new() }.value(2);
            let unit = choices.one_of(&["", "", " in mm", " in lb", " in"]);
            format!(
                "{}{{{inside}{unit}}}{}",
                choices.one_of(&["a ", "[", "]", "|", "{", "}}", ""]),
                choices.one_of(&["", "]", "|x]", "}"])
            )
        };
        let text = format!("{}{}", piece(choices), piece(choices));
        let scope = Scope::about(&CATALOGUE, subject);
        let model = Model::new(
            &DUAL,
            Environment { catalogue: &CATALOGUE, tables: Tables::built_in(), today: TRIAL_DAY },
        );
        let id = DUAL.store.of_type(subject).next().unwrap_or(DUAL.store.root());
        let errors = [
            Template::read(&text, &scope).map(|template| drop(template.fill(&model, id, &[]))).err(),
            Sentence::read(&text, &scope).map(|sentence| drop(sentence.fill(&model, id))).err(),
        ];
        for error in errors.into_iter().flatten() {
            assert!(text.get(error.range.clone()).is_some(), "{text:?}: {error:?}");
        }
    });
}
