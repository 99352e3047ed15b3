//! The failure table beside the quantities that rules read, and what must hold of any failure.

use holdpoint::design::Design;
use holdpoint::model::{Access, Fault, Model, Named, Read};
use holdpoint::vocabulary::{EntityId, Value};

use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::yaml::Source;

use super::{clean, text_of};

/// A quantity of the rocket, in SI.
pub(crate) fn si(model: &Model<'_>, name: &str) -> f64 {
    si_of(model, model.design().store.root(), name)
}

/// A quantity of an entity, in SI.
pub(crate) fn si_of(model: &Model<'_>, entity: EntityId, name: &str) -> f64 {
    let entity_type = model.entity(entity).unwrap().entity_type;
    let Some(Named::Computed(number, _)) = model.catalogue().named(entity_type, name) else {
        panic!("no {name}")
    };
    match model.read(Read { entity, access: Access::Computed(number) }) {
        Ok(Value::Quantity(quantity)) => quantity.si,
        other => panic!("{name}: {other:?}"),
    }
}

#[test]
fn without_a_fault_the_table_agrees_with_the_rules_and_no_failure_lands_softer() {
    let library = Library::built_in();
    for name in clean() {
        let design = Design::read(Source::new("a.rocket.yaml", text_of(&name)), &library.tables);
        let model = Model::new(&design, library.environment(TRIAL_DAY));
        let cases = model.failures().unwrap();
        let planned = cases.first().unwrap();
        assert_eq!(planned.fault, Fault::Nothing);
        let close = |a: f64, b: f64, what: &str| {
            assert!((a - b).abs() <= 1e-9 * b.abs(), "{name} {what}: {a} and {b}")
        };
        close(planned.landing_speed.clone().unwrap().si(), si(&model, "landing_speed"), "landing speed");
        close(planned.drift.clone().unwrap().si(), si(&model, "drift"), "drift");
        let softest = planned.landing_energy.clone().unwrap().si();
        for case in &cases {
            let energy = case.landing_energy.clone().unwrap().si();
            assert!(
                energy >= softest * (1.0 - 1e-9),
                "{name} {:?}: {energy} J beside {softest} J",
                case.fault
            );
            assert!(case.opened.len() <= planned.opened.len(), "{name} {:?}", case.fault);
        }
        // With two of everything, no single device of the electronics leaves it without a parachute.
        if name.starts_with("bittern") {
            let electronics = cases.iter().filter(|case| matches!(case.fault, Fault::Device(_)));
            assert!(electronics.clone().count() > 8);
            assert!(electronics.into_iter().all(|case| !case.opened.is_empty()));
        }
    }
}
