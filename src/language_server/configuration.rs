//! What the user sets in the editor, under `holdpoint`.

use serde_json::Value as Json;

use crate::rules::HoldPoint;

/// What the user sets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Configuration {
    /// Only what must be settled before this step; everything where not said.
    pub(super) before: Option<HoldPoint>,
    /// Whether designs of the folders are reviewed that are not open.
    pub(super) folders: bool,
}

impl Configuration {
    /// What settings say, over what holds without them; and what is wrong with them.
    pub(super) fn read(json: &Json, otherwise: Self) -> (Self, Vec<String>) {
        let json = json.get("holdpoint").unwrap_or(json);
        let mut read = otherwise;
        let mut wrong = Vec::new();
        match json.get("before") {
            None => {}
            Some(Json::Null) => read.before = None,
            Some(said) => match said.as_str().and_then(HoldPoint::of) {
                Some(point) => read.before = Some(point),
                None if said == "" => read.before = None,
                None => wrong.push(format!(
                    "holdpoint.before is {said}, and no step has that name: it is one of {}",
                    HoldPoint::WORDS.join(", ")
                )),
            },
        }
        match json.get("folders") {
            None | Some(Json::Null) => {}
            Some(Json::Bool(folders)) => read.folders = *folders,
            Some(said) => wrong.push(format!("holdpoint.folders is {said}, and `true` or `false` is due")),
        }
        (read, wrong)
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    const PLAIN: Configuration = Configuration { before: None, folders: true };

    #[test]
    fn what_is_not_said_stays_as_it_was_and_what_is_wrong_is_named() {
        let bonding = Configuration { before: Some(HoldPoint::Bonding), ..PLAIN };
        assert_eq!(Configuration::read(&json!({"before": "bonding"}), PLAIN), (bonding, vec![]));
        assert_eq!(Configuration::read(&json!({"holdpoint": {"before": "bonding"}}), PLAIN).0, bonding);
        assert_eq!(Configuration::read(&json!({"before": null}), bonding).0, PLAIN);
        assert_eq!(Configuration::read(&json!(null), bonding).0, bonding);
        let (read, wrong) = Configuration::read(&json!({"before": "gluing", "folders": 1}), bonding);
        assert_eq!((read, wrong.len()), (bonding, 2));
        assert!(
            wrong.iter().any(|words| words.contains("gluing") && words.contains("drilling")),
            "{wrong:?}"
        );
    }
}
