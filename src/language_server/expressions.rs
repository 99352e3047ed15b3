//! Quantities inside the expressions of packs: what a name stands for, and which names may come next.

use super::pack_names::{OwnName, PackNames};
use crate::design::ROCKET;
use crate::language::functions;
use crate::model::{Catalogue, Named, Type};
use crate::rules::{ASK, DERIVED, FUNCTION, PACK, REMEDY, RULE, STEP};
use crate::vocabulary::{EntityType, Field, Need};

/// Whether a field of a pack holds an expression, or a message with expressions in braces.
pub(super) fn is_expression(of: &EntityType, field: &Field) -> bool {
    let keys: &[&str] = match of {
        of if *of == PACK => &["applies_when"],
        of if *of == ASK => &["when"],
        of if *of == DERIVED || *of == FUNCTION => &["is"],
        of if *of == STEP => &["when", "do", "order"],
        of if *of == RULE => &["when", "require", "finding"],
        of if *of == REMEDY => &["set", "to", "by", "say"],
        _ => &[],
    };
    keys.contains(&field.name)
}

/// An expression as far as it is written.
pub(super) struct Expression<'e> {
    pub(super) catalogue: &'e Catalogue,
    /// The type that it is about; the rocket where nothing is said.
    pub(super) about: Option<&'e str>,
    pub(super) text: &'e str,
    /// What its pack names for itself.
    pub(super) own: &'e PackNames,
}

/// A name that may come next, with its doc.
pub(super) struct NextName {
    pub(super) name: String,
    pub(super) gives: String,
    pub(super) doc: String,
    pub(super) is_function: bool,
}

fn own(name: &OwnName, is_function: bool) -> NextName {
    let OwnName { name, gives, doc } = name.clone();
    NextName { name, gives, doc, is_function }
}

/// The names joined by dots that end at the end of a text.
pub(super) fn chain_before(text: &str) -> &str {
    let start = text
        .rfind(|c: char| !(c.is_alphanumeric() || matches!(c, '_' | '.')))
        .map_or(0, |at| at + text.get(at..).and_then(|rest| rest.chars().next()).map_or(1, char::len_utf8));
    text.get(start..).unwrap_or("")
}

impl Expression<'_> {
    /// What names joined by dots stand for; none where that is not known.
    fn type_of(&self, chain: &str) -> Option<Type> {
        let mut names = chain.split('.');
        let mut at = self.head(names.next()?)?;
        for name in names {
            let Type::Entity(entity_type) = at else { return None };
            at = match self.catalogue.named(entity_type, name)? {
                Named::Field(_, field) => Type::of(&field.shape),
                Named::Computed(_, gives) => gives,
                Named::Holder(holder) => Type::Entity(holder),
            };
        }
        Some(at)
    }

    /// What the first name stands for: the subject, the rocket, or a member of a collection (`v of section.vents`).
    fn head(&self, name: &str) -> Option<Type> {
        if self.about == Some(name) {
            return self.catalogue.entity_type(name).map(Type::Entity);
        }
        if name == ROCKET.name {
            return Some(Type::Entity(&ROCKET));
        }
        if let Some(parameter) = self.own.parameters.iter().find(|one| one.name == name) {
            return self.catalogue.entity_type(&parameter.gives).map(Type::Entity);
        }
        let words: Vec<&str> = self.text.split_whitespace().collect();
        let bound = words.windows(3).find(|w| w.first() == Some(&name) && w.get(1) == Some(&"of"))?;
        let over = bound.get(2)?.trim_end_matches(|c: char| !(c.is_alphanumeric() || c == '_'));
        // A member of itself has no end.
        let first = over.split('.').next()?;
        let of = if first == "all" {
            let at = words.iter().position(|word| *word == over)?;
            return self.catalogue.entity_type(words.get(at + 1)?).map(Type::Entity);
        } else if first == name {
            return None;
        } else {
            self.type_of(over)?
        };
        match of {
            Type::Entities(member) => Some(Type::Entity(member)),
            _ => None,
        }
    }

    /// The names that may stand behind the last dot of a chain, or begin one.
    pub(super) fn next(&self, chain: &str) -> Vec<NextName> {
        match chain.rsplit_once('.') {
            Some((way, _)) => {
                match (self.type_of(way), self.own.tables.iter().find(|(t, _)| t.name == way)) {
                    (Some(Type::Entity(entity_type)), _) => self.members(entity_type),
                    (_, Some((_, columns))) => columns.iter().map(|one| own(one, false)).collect(),
                    _ => Vec::new(),
                }
            }
            None => self.beginnings(),
        }
    }

    fn beginnings(&self) -> Vec<NextName> {
        let subject = self.about.and_then(|about| self.catalogue.entity_type(about));
        let kinds = subject.into_iter().chain([&ROCKET]);
        let mut all: Vec<NextName> = kinds
            .map(|entity_type| NextName {
                name: entity_type.name.to_owned(),
                gives: entity_type.with_article(),
                doc: entity_type.about().to_owned(),
                is_function: false,
            })
            .collect();
        all.dedup_by(|a, b| a.name == b.name);
        let names = self.own.parameters.iter().chain(&self.own.limits);
        all.extend(names.chain(self.own.tables.iter().map(|(table, _)| table)).map(|one| own(one, false)));
        all.extend(self.own.functions.iter().map(|one| own(one, true)));
        all.extend(functions().map(|function| NextName {
            name: function.name.to_owned(),
            gives: "a function".to_owned(),
            doc: function.doc.to_owned(),
            is_function: true,
        }));
        all
    }

    fn members(&self, entity_type: &'static EntityType) -> Vec<NextName> {
        let fields =
            entity_type.fields.iter().filter(|field| field.need != Need::Implied || !field.doc.is_empty());
        let written = fields.map(|field| NextName {
            name: field.name.to_owned(),
            gives: Type::of(&field.shape).to_string(),
            doc: field.about().to_owned(),
            is_function: false,
        });
        let computed = self.catalogue.computed(entity_type).iter().map(|entry| NextName {
            name: entry.name.clone(),
            gives: format!("{}, worked out", entry.gives),
            doc: entry.doc.clone(),
            is_function: false,
        });
        written.chain(computed).collect()
    }

    /// What a whole chain stands for, in Markdown.
    pub(super) fn describe(&self, chain: &str) -> Option<String> {
        let name = chain.rsplit('.').next()?;
        let found = self.next(chain).into_iter().find(|next| next.name == name)?;
        Some(format!("**`{chain}`**: {}\n\n{}", found.gives, found.doc))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::Library;

    #[test]
    fn names_are_followed_through_parts_and_members() {
        let library = Library::built_in();
        let text = "every v of section.vents has v.count > 1 and section.tube.inner_diameter > 1 in";
        let own = &PackNames::default();
        let expression = Expression { catalogue: &library.catalogue, about: Some("section"), text, own };
        let offers = |chain: &str, name: &str| expression.next(chain).iter().any(|next| next.name == name);
        assert!(offers("section.", "vent_area") && offers("section.tube.in", "inner_diameter"));
        assert!(offers("v.", "diameter") && !offers("v.", "inner_diameter"));
        assert!(offers("", "section") && offers("", "rocket") && offers("drill", "drill_at_least"));
        assert!(expression.next("nobody.").is_empty());
        let described = expression.describe("section.vent_area").unwrap_or_default();
        assert!(described.contains("an area, worked out"), "{described}");
        assert_eq!(chain_before("a and section.tu"), "section.tu");
    }

    #[test]
    fn what_the_pack_names_for_itself_is_completed_and_described() {
        let library = Library::built_in();
        let pack = "pack: x
limits:
  gap: {is: 1 mm, doc: The gap.}
tables:
  far: {doc: How far., columns: {impulse: N*s, people: m}, rows: [[1, 2]]}
functions:
  safe: {of: {d: length, bay: section}, is: d + bay.tub, doc: Safe.}
rules:
  a: {for: motor, require: \"motor.length > sa
";
        let at = pack.find("bay.tub").unwrap_or_default() + "bay.tub".len();
        let path = ["functions", "safe", "is"].map(str::to_owned);
        let own = &PackNames::read(pack, &path, pack.len() - 1);
        let expression = Expression { catalogue: &library.catalogue, about: None, text: "d + bay.tub", own };
        let names = |chain: &str| -> Vec<String> {
            expression.next(chain).into_iter().map(|next| next.name).collect()
        };
        for name in ["d", "bay", "gap", "far", "safe", "in_row", "mean_between", "rocket"] {
            assert!(names("").iter().any(|known| known == name), "{name}: {:?}", names(""));
        }
        assert_eq!(names("far."), ["people"]);
        assert!(names(chain_before(pack.get(..at).unwrap_or(""))).iter().any(|name| name == "tube"));
        let described = |chain: &str| expression.describe(chain).unwrap_or_default();
        assert_eq!(
            described("safe"),
            "**`safe`**: a function of the pack: safe(d: length, bay: section)\n\nSafe."
        );
        assert_eq!(described("far.people"), "**`far.people`**: a column of the table `far`: m\n\nHow far.");
        assert_eq!(described("gap"), "**`gap`**: a limit of the pack: 1 mm\n\nThe gap.");
    }

    #[test]
    fn chains_end_where_no_name_goes_on() {
        assert_eq!(chain_before("\"{section.vent_area"), "section.vent_area");
    }
}
